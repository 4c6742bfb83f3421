// Numbers in the words of checks, in the property's display units. For the check evaluators only.
#pragma once

#include "core/eval/explain.h"

#include <cstdio>

namespace leeward {

template <class... Args>
std::string check_format(const char* pattern, Args... args) {
  char text[512];
  std::snprintf(text, sizeof text, pattern, args...);
  return text;
}

/// "0.8 m", "2.6 ft" below 10 m; else as distance_text().
std::string near_text(double metres, UnitSystem units);
/// "0.95 m", "37 in".
std::string span_text(double metres, UnitSystem units);
/// "18 mm", "0.71 in".
std::string thickness_text(double millimetres, UnitSystem units);
/// "today", "1 day ago", "12 days ago"; "3 days after the day shown" for dates to come.
std::string days_text(int days);
/// "Feb to Apr, Jul"; "no month"; "all year".
std::string months_text(MonthSet months);
std::string feature_name(const Document& document, const Uid& uid);

/// Metres from `from` to where the straight line meets a path (its last point joined to the first
/// if closed); infinity beyond `most_m`.
double first_hit_m(LocalXY from, Bearing toward, double most_m, const Path& path, bool closed);
/// Metres to the nearest outline of an area (its holes too), from inside as from outside; to the
/// line of a line.
double outline_distance_m(const Shape& shape, LocalXY p);

}  // namespace leeward
