#include "core/model/document.h"

#include <algorithm>
#include <map>

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

Instant made_at(const Forecast& f) { return f.issued.value_or(f.imported); }

Ref<Forecast> newest_forecast(const Document& d) {
  const auto older = [](const Ref<Forecast>& a, const Ref<Forecast>& b) {
    return std::pair(made_at(*a), a->imported) < std::pair(made_at(*b), b->imported);
  };
  const auto at = std::max_element(d.forecasts->begin(), d.forecasts->end(), older);
  return at == d.forecasts->end() ? nullptr : *at;
}

void take_hours_in_force(Document& d) {
  constexpr std::chrono::hours kHour{1}, kSilence{6};
  d.wind_hours = d.stored_hours;
  // By age: hours of no known forecast are the oldest.
  std::map<Uid, std::pair<Instant, Instant>> age;
  for (const auto& f : *d.forecasts) age[f->uid] = {made_at(*f), f->imported};
  std::map<std::pair<std::pair<Instant, Instant>, Uid>, Rows<WindHour>> said;
  for (const auto& h : *d.stored_hours) {
    const auto known = age.find(h->forecast);
    said[{known == age.end() ? std::pair(Instant::min(), Instant::min()) : known->second,
          h->forecast}]
        .push_back(h);
  }
  if (said.size() < 2) return;
  std::vector<std::pair<Instant, Instant>> spoken_for;
  Rows<WindHour> in_force;
  for (auto of = said.rbegin(); of != said.rend(); ++of) {
    const Rows<WindHour>& hours = of->second;
    const auto free = [&](const Ref<WindHour>& h) {
      return std::none_of(spoken_for.begin(), spoken_for.end(), [&](const auto& span) {
        return h->at + kHour > span.first && h->at < span.second;
      });
    };
    std::copy_if(hours.begin(), hours.end(), std::back_inserter(in_force), free);
    for (size_t i = 0, first = 0; i < hours.size(); ++i)
      if (i + 1 == hours.size() || hours[i + 1]->at - hours[i]->at > kSilence) {
        spoken_for.emplace_back(hours[first]->at, hours[i]->at + kHour);
        first = i + 1;
      }
  }
  std::stable_sort(in_force.begin(), in_force.end(),
                   [](const auto& a, const auto& b) { return a->at < b->at; });
  d.wind_hours = make_ref<Rows<WindHour>>(std::move(in_force));
}

Rows<WindHour> hours_to_come(const Document& d) {
  Rows<WindHour> out = *d.wind_hours;
  const Ref<Forecast> newest = newest_forecast(d);
  const auto first = std::find_if(out.begin(), out.end(), [&](const Ref<WindHour>& h) {
    return newest && h->forecast == newest->uid;
  });
  if (first != out.end()) out.erase(out.begin(), first);
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
         same_rows(*a.stored_hours, *b.stored_hours) && same_rows(*a.visits, *b.visits);
}

}  // namespace leeward
