// Document: one immutable version of a property. Versions share every row that did not change, so
// an old version costs no more than its edit.
#pragma once

#include "core/model/property.h"

#include <array>
#include <cstdint>
#include <vector>

namespace leeward {

template <class T>
using Rows = std::vector<Ref<T>>;

struct Document {
  std::uint64_t revision = 0;  ///< Grows with every edit, undo and redo of a session.
  Ref<Settings> settings = make_ref<Settings>();
  std::array<Ref<Rows<Feature>>, kKindCount> features = empty_features();
  Ref<Rows<Weapon>> weapons = make_ref<Rows<Weapon>>();
  Ref<Rows<RasterLayer>> rasters = make_ref<Rows<RasterLayer>>();
  Ref<Rows<Forecast>> forecasts = make_ref<Rows<Forecast>>();
  Ref<Rows<WindHour>> stored_hours = make_ref<Rows<WindHour>>();  ///< Of all forecasts, rising.
  /// Those in force, rising in time: what the newest forecast says of a time, older ones beyond it.
  /// They follow from the stored ones by take_hours_in_force().
  Ref<Rows<WindHour>> wind_hours = make_ref<Rows<WindHour>>();

  Ref<Rows<Visit>> visits = make_ref<Rows<Visit>>();  ///< Rising in time.

  const Rows<Feature>& of(Kind kind) const { return *features[static_cast<size_t>(kind)]; }
  /// nullptr if there is no such feature.
  Ref<Feature> find(const Uid& uid) const;
  Ref<Weapon> find_weapon(const Uid& uid) const;
  /// Union of the boundary, or of all features where there is none.
  Box extent() const;
  /// The first raster of a role in drawing order, or nullptr.
  Ref<RasterLayer> raster(RasterRole role) const;
  /// Weapons of a stand: its own list, or all.
  Rows<Weapon> weapons_of(const StandAttrs& stand) const;

 private:
  static std::array<Ref<Rows<Feature>>, kKindCount> empty_features();
};

/// When a forecast was made, as far as is known: issued, else imported.
Instant made_at(const Forecast& forecast);
/// nullptr if there is none.
Ref<Forecast> newest_forecast(const Document& document);
/// A forecast speaks for the time from its first hour to its last, but for spans of over six hours
/// of which it says nothing; hours of older ones within are not in force.
void take_hours_in_force(Document& document);
/// Hours in force from the first of the newest forecast on.
Rows<WindHour> hours_to_come(const Document& document);

/// True when both versions hold equal rows (revision aside).
bool same_content(const Document& a, const Document& b);

}  // namespace leeward
