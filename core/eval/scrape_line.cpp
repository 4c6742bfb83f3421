#include "core/eval/scrape_checks.h"

#include <algorithm>

namespace leeward {
namespace {

constexpr double kOnLine_m = 10;

Path part_of(const Path& line, double from_m, double to_m) {
  Path out = {point_along(line, from_m)};
  double along = 0;
  for (size_t i = 1; i < line.size(); ++i) {
    along += distance_m(line[i - 1], line[i]);
    if (along > from_m && along < to_m) out.push_back(line[i]);
  }
  out.push_back(point_along(line, to_m));
  return out;
}

}  // namespace

std::vector<ScrapeLine> scrape_lines(const Document& document) {
  std::vector<ScrapeLine> out;
  for (const auto& trail : document.of(Kind::deer_trail)) {
    const Path& path = trail->shape.path();
    std::vector<std::pair<double, const Feature*>> on;
    for (const auto& f : document.of(Kind::mock_scrape)) {
      const NearestOnPath n = nearest_on_path(path, f->shape.position());
      if (n.distance_m <= kOnLine_m) on.emplace_back(n.at_m, f.get());
    }
    if (on.size() < 3) continue;
    std::stable_sort(on.begin(), on.end(),
                     [](const auto& a, const auto& b) { return a.first < b.first; });
    ScrapeLine line;
    line.trail = trail->uid;
    for (const auto& [at_m, f] : on) {
      line.scrapes.push_back(f->uid);
      line.stops.push_back(point_along(path, at_m));
    }
    for (size_t i = 1; i < on.size(); ++i) line.spacings_m.push_back(on[i].first - on[i - 1].first);
    const double from_m = on.front().first, to_m = on.back().first;
    line.mean_m = (to_m - from_m) / static_cast<double>(on.size() - 1);
    line.along = part_of(path, from_m, to_m);
    out.push_back(std::move(line));
  }
  return out;
}

}  // namespace leeward
