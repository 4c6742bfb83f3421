#include "core/eval/check_text.h"

#include <cmath>

namespace leeward {

std::string near_text(double metres, UnitSystem units) {
  if (metres >= 10) return distance_text(metres, units);
  return units == UnitSystem::metric ? check_format("%.1f m", metres)
                                     : check_format("%.1f ft", metres / kMetresPerFoot);
}

std::string span_text(double metres, UnitSystem units) {
  return units == UnitSystem::metric ? check_format("%.2f m", metres)
                                     : check_format("%.0f in", metres / kMetresPerFoot * 12);
}

std::string thickness_text(double millimetres, UnitSystem units) {
  return units == UnitSystem::metric ? check_format("%.0f mm", millimetres)
                                     : check_format("%.2f in", millimetres / 25.4);
}

std::string days_text(int days) {
  if (days == 0) return "today";
  const int n = std::abs(days);
  return check_format("%d day%s %s", n, n == 1 ? "" : "s",
                      days > 0 ? "ago" : "after the day shown");
}

std::string months_text(MonthSet months) {
  static constexpr const char* kNames[12] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                             "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  if (months == MonthSet::all()) return "all year";
  std::string out;
  for (int m = 1; m <= 12; ++m) {
    if (!months.has(m) || (m > 1 && months.has(m - 1))) continue;
    int last = m;
    while (last < 12 && months.has(last + 1)) ++last;
    out += std::string(out.empty() ? "" : ", ") + kNames[m - 1];
    if (last > m) out += std::string(" to ") + kNames[last - 1];
  }
  return out.empty() ? "no month" : out;
}

std::string feature_name(const Document& document, const Uid& uid) {
  const Ref<Feature> f = document.find(uid);
  return f ? display_name(*f) : "a removed feature";
}

double first_hit_m(LocalXY from, Bearing toward, double most_m, const Path& path, bool closed) {
  const LocalXY d{toward.east(), toward.north()};
  double first = std::numeric_limits<double>::infinity();
  const size_t n = path.size(), edges = n < 2 ? 0 : closed ? n : n - 1;
  for (size_t i = 0; i < edges; ++i) {
    const LocalXY a = path[i] - from, e = path[(i + 1) % n] - path[i];
    const double parallel = cross(d, e);
    if (std::abs(parallel) < 1e-12) continue;
    const double along = cross(a, e) / parallel, share = cross(a, d) / parallel;
    if (along >= 0 && along <= most_m && share >= 0 && share <= 1) first = std::min(first, along);
  }
  return first;
}

double outline_distance_m(const Shape& shape, LocalXY p) {
  double least = std::numeric_limits<double>::infinity();
  for (Path part : shape.parts) {
    if (part.empty()) continue;
    if (shape.type == ShapeType::area) part.push_back(part.front());
    least = std::min(least, nearest_on_path(part, p).distance_m);
  }
  return least;
}

}  // namespace leeward
