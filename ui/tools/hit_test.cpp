#include "ui/tools/hit_test.h"

#include "ui/render/symbols.h"

#include <QLineF>

#include <limits>
#include <tuple>

namespace leeward::ui {
namespace {

double distancePx(QPointF a, QPointF b) { return QLineF(a, b).length(); }

/// Calls fn(vertex before which a point would be inserted, from, to) for every edge.
template <class Fn>
void eachEdge(const Shape& shape, Fn fn) {
  for (std::size_t p = 0; p < shape.parts.size(); ++p) {
    const Path& part = shape.parts[p];
    for (std::size_t i = 1; i < part.size(); ++i) fn(VertexRef{p, i}, part[i - 1], part[i]);
    if (shape.type == ShapeType::area && part.size() > 2)
      fn(VertexRef{p, part.size()}, part.back(), part.front());
  }
}

}  // namespace

Ref<Feature> featureAt(const Document& document, const MapTransform& t, KindSet shown,
                       QPointF device) {
  const LocalXY at = t.toLocal(device);
  const double reach_m = t.px(kReachPx) / t.devicePerMetre();
  using Rank = std::tuple<int, double>;
  Rank best{99, 0};
  Ref<Feature> found;
  const auto offer = [&](const Ref<Feature>& f, Rank rank) {
    if (!found || rank < best) best = rank, found = f;
  };
  for (const auto& rows : document.features) {
    for (const auto& f : *rows) {
      if (!shown[static_cast<std::size_t>(f->kind())]) continue;
      if (!bounds(f->shape).grown(3 * reach_m).contains(at)) continue;
      if (f->shape.type == ShapeType::point) {
        const double d = distancePx(t.toDevice(f->shape.position()), device);
        if (d <= t.px(kSymbolRadiusPx + 2)) offer(f, {0, d});
      } else if (f->shape.type == ShapeType::line) {
        const double d = leeward::distance_m(f->shape, at);
        if (d <= reach_m) offer(f, {1, d});
      } else if (f->kind() == Kind::boundary) {  // by its edge only: everything lies inside it
        const auto edge = edgeAt(f->shape, t, device);
        if (edge) offer(f, {3, 0});
      } else if (leeward::distance_m(f->shape, at) <= reach_m / 2) {
        offer(f, {2, area_m2(f->shape)});
      }
    }
  }
  return found;
}

std::optional<VertexRef> vertexAt(const Shape& shape, const MapTransform& t, QPointF device) {
  std::optional<VertexRef> found;
  double best = t.px(kReachPx);
  for (std::size_t p = 0; p < shape.parts.size(); ++p) {
    for (std::size_t i = 0; i < shape.parts[p].size(); ++i) {
      const double d = distancePx(t.toDevice(shape.parts[p][i]), device);
      if (d <= best) best = d, found = VertexRef{p, i};
    }
  }
  return found;
}

std::optional<EdgeRef> edgeAt(const Shape& shape, const MapTransform& t, QPointF device) {
  std::optional<EdgeRef> found;
  const LocalXY at = t.toLocal(device);
  double best = t.px(kReachPx) / t.devicePerMetre();
  eachEdge(shape, [&](VertexRef before, LocalXY from, LocalXY to) {
    const NearestOnPath near = nearest_on_path({from, to}, at);
    if (near.distance_m <= best) best = near.distance_m, found = EdgeRef{before, near.point};
  });
  return found;
}

std::optional<LocalXY> snapPoint(const Document& document, const MapTransform& t, KindSet shown,
                                 QPointF device, const Uid& except) {
  std::optional<LocalXY> found;
  double best = t.px(kReachPx);
  const Box near = [&] {
    Box b;
    b.add(t.toLocal(device));
    return b.grown(t.px(kReachPx) / t.devicePerMetre());
  }();
  for (const auto& rows : document.features) {
    for (const auto& f : *rows) {
      if (f->uid == except || !shown[static_cast<std::size_t>(f->kind())]) continue;
      if (!bounds(f->shape).overlaps(near)) continue;
      for (const Path& part : f->shape.parts) {
        for (const LocalXY v : part) {
          const double d = distancePx(t.toDevice(v), device);
          if (d <= best) best = d, found = v;
        }
      }
    }
  }
  return found;
}

}  // namespace leeward::ui
