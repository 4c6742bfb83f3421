#include "core/model/document.h"

#include <algorithm>

namespace leeward {

std::array<Ref<Rows<Feature>>, kKindCount> Document::empty_features() {
  std::array<Ref<Rows<Feature>>, kKindCount> out;
  out.fill(make_ref<Rows<Feature>>());
  return out;
}

Ref<Feature> Document::find(const Uid& uid) const {
  for (const auto& rows : features)
    for (const auto& f : *rows)
      if (f->uid == uid) return f;
  return nullptr;
}

Ref<Weapon> Document::find_weapon(const Uid& uid) const {
  for (const auto& w : *weapons)
    if (w->uid == uid) return w;
  return nullptr;
}

Box Document::extent() const {
  Box box;
  for (const auto& f : of(Kind::boundary)) box.add(bounds(f->shape));
  if (!box.empty()) return box;
  for (const auto& rows : features)
    for (const auto& f : *rows) box.add(bounds(f->shape));
  return box;
}

Ref<RasterLayer> Document::raster(RasterRole role) const {
  Ref<RasterLayer> best;
  for (const auto& r : *rasters) {
    if (r->role == role && (!best || r->order < best->order)) best = r;
  }
  return best;
}

Rows<Weapon> Document::weapons_of(const StandAttrs& stand) const {
  Rows<Weapon> out;
  for (const auto& w : *weapons) {
    if (stand.weapons.empty() ||
        std::find(stand.weapons.begin(), stand.weapons.end(), w->uid) != stand.weapons.end()) {
      out.push_back(w);
    }
  }
  return out;
}

namespace {
template <class T>
bool same_rows(const Rows<T>& a, const Rows<T>& b) {
  if (a.size() != b.size()) return false;
  std::vector<Ref<T>> x(a), y(b);
  const auto by_uid = [](const Ref<T>& l, const Ref<T>& r) { return l->uid < r->uid; };
  std::sort(x.begin(), x.end(), by_uid);
  std::sort(y.begin(), y.end(), by_uid);
  return std::equal(x.begin(), x.end(), y.begin(),
                    [](const Ref<T>& l, const Ref<T>& r) { return *l == *r; });
}
}  // namespace

bool same_content(const Document& a, const Document& b) {
  for (size_t k = 0; k < kKindCount; ++k)
    if (!same_rows(*a.features[k], *b.features[k])) return false;
  return *a.settings == *b.settings && same_rows(*a.weapons, *b.weapons) &&
         same_rows(*a.rasters, *b.rasters) && same_rows(*a.forecasts, *b.forecasts) &&
         same_rows(*a.wind_hours, *b.wind_hours) && same_rows(*a.visits, *b.visits);
}

}  // namespace leeward
