#include "core/eval/feature_changes.h"

#include <algorithm>

namespace leeward {
namespace {

void add_shape(const Shape& s, double grow_m, CellBands& to) {
  for (const Path& part : s.parts) {
    if (part.empty()) continue;
    if (part.size() == 1) to.add(part[0], part[0], grow_m);
    for (size_t i = 1; i < part.size(); ++i) to.add(part[i - 1], part[i], grow_m);
    if (s.type == ShapeType::area) to.add(part.back(), part.front(), grow_m);
  }
}

// The edges of two rings that are not in both. What lies in one ring alone lies between them, for
// the rest of their edges is crossed alike.
void add_ring_change(const Path& was, const Path& is, double grow_m, CellBands& to) {
  if (was == is) return;
  const size_t least = std::min(was.size(), is.size());
  size_t head = 0, tail = 0;
  while (head < least && was[head] == is[head]) ++head;
  while (tail < least - head && was[was.size() - 1 - tail] == is[is.size() - 1 - tail]) ++tail;
  for (const Path* ring : {&was, &is}) {
    const size_t n = ring->size();
    for (size_t i = head; n > 0 && i <= n - tail; ++i)
      to.add((*ring)[(i + n - 1) % n], (*ring)[i % n], grow_m);
  }
}

}  // namespace

std::vector<FeatureChange> changes_between(const FlaggedRows& before, const FlaggedRows& now) {
  const Rows<Feature>&was = *before.rows, &is = *now.rows;
  const auto same = [&](size_t i, size_t k) {
    return was[i] == is[k] && before.flag(i) == now.flag(k);
  };
  const size_t least = std::min(was.size(), is.size());
  size_t head = 0, tail = 0;
  while (head < least && same(head, head)) ++head;
  while (tail < least - head && same(was.size() - 1 - tail, is.size() - 1 - tail)) ++tail;
  std::vector<FeatureChange> out;
  if (was.size() == is.size()) {
    for (size_t i = head; i < was.size() - tail; ++i) {
      if (same(i, i)) continue;
      // Another feature in its place: its order among the rest may count.
      if (was[i]->uid == is[i]->uid) {
        out.push_back({was[i].get(), is[i].get(), before.flag(i) == now.flag(i)});
      } else {
        out.push_back({was[i].get(), nullptr});
        out.push_back({nullptr, is[i].get()});
      }
    }
    return out;
  }
  for (size_t i = head; i < was.size() - tail; ++i) out.push_back({was[i].get(), nullptr});
  for (size_t i = head; i < is.size() - tail; ++i) out.push_back({nullptr, is[i].get()});
  return out;
}

void add_change(const FeatureChange& change, double grow_m, CellBands& to) {
  const Feature *was = change.was, *is = change.is;
  if (change.alike()) {
    if (was->shape == is->shape) return;
    const bool areas = was->shape.type == ShapeType::area && is->shape.type == ShapeType::area;
    if (areas && was->shape.parts.size() == is->shape.parts.size()) {
      for (size_t i = 0; i < was->shape.parts.size(); ++i)
        add_ring_change(was->shape.parts[i], is->shape.parts[i], grow_m, to);
      return;
    }
  }
  if (was) add_shape(was->shape, grow_m, to);
  if (is) add_shape(is->shape, grow_m, to);
}

}  // namespace leeward
