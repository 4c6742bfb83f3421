#include "core/eval/air_field.h"

#include "core/base/parallel.h"
#include "core/compute/plume.h"
#include "core/eval/air.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace leeward {
namespace {

constexpr double kGrass_m = 0.03;        // roughness of open ground
constexpr double kTreeHeightsDeep = 10;  // reach of an edge's effect, in tree heights (memory)
constexpr double kTallestDeep_m = 25;

double stability_ratio_of(double index) {
  const int n = std::clamp(static_cast<int>(index), 0, 4);
  const double t = std::clamp(index - n, 0.0, 1.0);
  return (1 - t) * compute::stability_ratio(n) + t * compute::stability_ratio(n + 1);
}

// 1 where a square of `radius` cells holds no cell with under half timber.
Raster<std::uint8_t> deep_cells(const Raster<float>& timber, int radius) {
  const GridSpec& g = timber.spec;
  const size_t w = static_cast<size_t>(g.cols) + 1;
  std::vector<int> open(w * (static_cast<size_t>(g.rows) + 1), 0);  // summed over rows and columns
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.cols; ++c) {
      const size_t at = (static_cast<size_t>(r) + 1) * w + static_cast<size_t>(c) + 1;
      open[at] = open[at - 1] + open[at - w] - open[at - w - 1] + (timber.at(c, r) < 0.5F ? 1 : 0);
    }
  Raster<std::uint8_t> out(g, 0);
  const auto sum = [&](int c, int r) {
    return open[static_cast<size_t>(std::clamp(r, 0, g.rows)) * w +
                static_cast<size_t>(std::clamp(c, 0, g.cols))];
  };
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.cols; ++c) {
      const int n = sum(c + radius + 1, r + radius + 1) - sum(c - radius, r + radius + 1) -
                    sum(c + radius + 1, r - radius) + sum(c - radius, r - radius);
      out.at(c, r) = n == 0 ? 1 : 0;
    }
  return out;
}

// Means over the analysis cells inside each cell of the air's grid, of several values at once:
// `values(index)` gives an array of floats.
template <size_t kValues, class Fn>
std::array<Raster<float>, kValues> gathered(const GridSpec& fine, const GridSpec& g,
                                            const Fn& values) {
  std::array<Raster<float>, kValues> out;
  for (auto& one : out) one = Raster<float>(g, 0.0F);
  std::vector<int> col(static_cast<size_t>(fine.cols));
  for (int c = 0; c < fine.cols; ++c) col[static_cast<size_t>(c)] = g.cell_col(fine.centre(c, 0).x);
  std::vector<std::vector<int>> rows(static_cast<size_t>(g.rows));  // of `fine` in each of `g`
  for (int r = 0; r < fine.rows; ++r)
    if (const int at = g.cell_row(fine.centre(0, r).y); at >= 0 && at < g.rows)
      rows[static_cast<size_t>(at)].push_back(r);
  for_each_index(g.rows, [&](int row) {
    std::vector<float> count(static_cast<size_t>(g.cols));
    for (const int r : rows[static_cast<size_t>(row)])
      for (int c = 0; c < fine.cols; ++c) {
        const int to = col[static_cast<size_t>(c)];
        if (to < 0 || to >= g.cols) continue;
        const std::array<float, kValues> v = values(fine.index(c, r));
        for (size_t n = 0; n < kValues; ++n) out[n].at(to, row) += v[n];
        count[static_cast<size_t>(to)] += 1;
      }
    for (int c = 0; c < g.cols; ++c)
      for (auto& one : out)
        if (count[static_cast<size_t>(c)] > 0) one.at(c, row) /= count[static_cast<size_t>(c)];
  });
  return out;
}

// Mean over the cell and its neighbours, weighted 2 : 1 along each axis.
void smooth(Raster<float>& r) {
  const int cols = r.spec.cols, rows = r.spec.rows;
  std::vector<float> line(static_cast<size_t>(std::max(cols, rows)));
  const auto pass = [&](int n, const auto& at) {
    for (int i = 0; i < n; ++i) line[static_cast<size_t>(i)] = at(i);
    for (int i = 0; i < n; ++i)
      at(i) = (line[static_cast<size_t>(std::max(i - 1, 0))] + 2 * line[static_cast<size_t>(i)] +
               line[static_cast<size_t>(std::min(i + 1, n - 1))]) /
              4;
  };
  for (int y = 0; y < rows; ++y) pass(cols, [&](int i) -> float& { return r.at(i, y); });
  for (int x = 0; x < cols; ++x) pass(rows, [&](int i) -> float& { return r.at(x, i); });
}

// See kTurnTolerance for what they cost.
compute::TerrainWindOptions land_wind_options() {
  compute::TerrainWindOptions options;
  options.reference_roughness_m = kGrass_m;
  options.margin_m = 125;
  options.beyond_m = 1500;
  options.layers = 12;
  return options;
}

/// The wind near a surface, see surface_profile.
class SurfaceProfile {
 public:
  SurfaceProfile(double top_m, double attenuation) : top_(top_m), attenuation_(attenuation) {
    if (top_ >= 0.3) over_.emplace(kGrass_m, 0.1 * top_, 0.67 * top_);
  }
  double at(double height_m) const {
    if (!over_) return compute::log_profile(height_m);
    if (height_m >= top_) return over_->speed(height_m);
    return std::max(0.02, over_->speed(top_) * std::exp(attenuation_ * (height_m / top_ - 1)));
  }

 private:
  double top_, attenuation_;
  std::optional<compute::WindProfile> over_;
};

// log of the profile at each carry height.
std::array<Raster<float>, kCarryHeights_m.size()> profile_logs(const Raster<float>& top,
                                                               const Raster<float>& attenuation) {
  std::array<Raster<float>, kCarryHeights_m.size()> out;
  for (auto& one : out) one = Raster<float>(top.spec);
  for_each_index(top.spec.rows, [&](int row) {
    for (int c = 0; c < top.spec.cols; ++c) {
      const float high = top.at(c, row), thick = attenuation.at(c, row);
      const bool as_before =
          c > 0 && high == top.at(c - 1, row) && thick == attenuation.at(c - 1, row);
      if (as_before) {
        for (auto& one : out) one.at(c, row) = one.at(c - 1, row);
        continue;
      }
      const SurfaceProfile profile(static_cast<double>(high), static_cast<double>(thick));
      for (size_t h = 0; h < out.size(); ++h)
        out[h].at(c, row) = static_cast<float>(std::log(profile.at(kCarryHeights_m[h])));
    }
  });
  return out;
}

// exp of the weighted mean of a cell and its neighbours: an edge is felt one cell to each side.
Raster<float> feathered(const Raster<float>& logs) {
  const GridSpec& g = logs.spec;
  Raster<float> out(g);
  for (int r = 0; r < g.rows; ++r)
    for (int c = 0; c < g.cols; ++c) {
      float sum = logs.at(c, r), n = 1;
      for (int dr = -1; dr <= 1; ++dr)
        for (int dc = -1; dc <= 1; ++dc)
          if (g.has(c + dc, r + dr)) sum += logs.at(c + dc, r + dr), n += 1;
      out.at(c, r) = std::exp(sum / n);
    }
  return out;
}

}  // namespace

GridSpec air_grid(const GridSpec& analysis) {
  const double side = std::max(analysis.cols, analysis.rows) * analysis.cell_m;
  const double cell = std::clamp(std::ceil(side / 192 / 2.5) * 2.5, 10.0, 25.0);
  GridSpec g = GridSpec::covering(analysis.box(), cell);
  g.cols = std::max(g.cols, 3);
  g.rows = std::max(g.rows, 3);
  return g;
}

Result<AirGround> make_air_ground(const Terrain& terrain, const GridSpec& analysis,
                                  std::stop_token stop) {
  AirGround out;
  if (terrain.ground.empty()) return out;
  Raster<float> ground = cell_means(terrain.ground, air_grid(analysis));
  if (std::all_of(ground.cells.begin(), ground.cells.end(), [](float z) { return std::isnan(z); }))
    return out;
  auto places = compute::slope_places(ground, {}, stop);
  if (!places) return std::move(places.error());
  out.ground = std::move(ground);
  out.places = *std::move(places);
  return out;
}

AirCover make_air_cover(const AnalysisLand& land) {
  AirCover out;
  const GridSpec g = air_grid(land.cells.spec);
  auto [top, attenuation, timber] = gathered<3>(land.cells.spec, g, [&](size_t i) {
    return std::array{land.cells.top_m.cells[i], land.attenuation.cells[i],
                      static_cast<float>(land.timber.cells[i])};
  });
  out.timber = std::move(timber);
  const double tallest = std::min(
      kTallestDeep_m, static_cast<double>(*std::max_element(top.cells.begin(), top.cells.end())));
  out.deep = deep_cells(out.timber, static_cast<int>(kTreeHeightsDeep * tallest / g.cell_m) + 1);
  smooth(out.timber);
  smooth(out.timber);
  auto logs = profile_logs(top, attenuation);
  for_each_index(static_cast<int>(kCarryHeights_m.size()), [&](int n) {
    const size_t h = static_cast<size_t>(n);
    out.profile[h] = feathered(logs[h]);
    smooth(out.profile[h]);
  });
  return out;
}

std::array<double, kRatioCount> ratio_weights(double stability_index) {
  const double ratio = stability_ratio_of(stability_index);
  const size_t low = ratio < kRatios[1] ? 0 : 1;
  const double t = std::clamp((ratio - kRatios[low]) / (kRatios[low + 1] - kRatios[low]), 0.0, 1.0);
  std::array<double, kRatioCount> out = {};
  out[low] = 1 - t;
  out[low + 1] = t;
  return out;
}

Raster<float> land_wind_ground(const Terrain& terrain, const GridSpec& analysis) {
  return compute::wind_ground(terrain.ground, analysis.box(), land_wind_options());
}

Raster<float> land_wind_cover(const AnalysisLand& land) {
  return std::move(gathered<1>(land.cells.spec, air_grid(land.cells.spec),
                               [&](size_t i) { return std::array{land.cells.top_m.cells[i]}; })[0]);
}

Result<compute::TerrainWindSolver> land_wind_solver(const Raster<float>& ground,
                                                    const GridSpec& analysis,
                                                    const std::vector<size_t>& ratios,
                                                    double tolerance) {
  compute::TerrainWindOptions options = land_wind_options();
  options.tolerance = tolerance;
  std::vector<double> values;
  for (const size_t n : ratios) values.push_back(kRatios[n]);
  return compute::TerrainWindSolver::over(ground, analysis.box(), options, values);
}

Result<std::vector<LandTurn>> solve_land_turns(const compute::TerrainWindSolver& solver,
                                               const Raster<float>& cover, const GridSpec& analysis,
                                               std::stop_token stop) {
  compute::WindSurface surface{cover, cover};
  // Closed cover: z0 a tenth of its height, displacement two thirds (from memory).
  for (float& z0 : surface.roughness_m.cells)
    z0 = std::max(static_cast<float>(kGrass_m), 0.1F * z0);
  for (float& d : surface.displacement_m.cells) d *= 0.67F;
  auto shapes = solver.shapes(surface, air_grid(analysis), kCarryHeights_m, stop);
  if (!shapes) return std::move(shapes.error());
  std::vector<LandTurn> out(shapes->size());
  for (size_t n = 0; n < out.size(); ++n)
    std::move((*shapes)[n].begin(), (*shapes)[n].end(), out[n].at.begin());
  return out;
}

bool operator==(const HourSky& a, const HourSky& b) {
  const auto same = [](const compute::Sun& x, const compute::Sun& y) {
    return x.altitude_deg == y.altitude_deg && x.toward.degrees() == y.toward.degrees();
  };
  return same(a.slope.sun, b.slope.sun) &&
         a.slope.hour_before.has_value() == b.slope.hour_before.has_value() &&
         (!a.slope.hour_before || same(*a.slope.hour_before, *b.slope.hour_before)) &&
         a.slope.cloud == b.slope.cloud && a.slope.ambient_mps == b.slope.ambient_mps &&
         a.slope.height_m == b.slope.height_m;
}

HourSky hour_sky(const AirNow& air, const SunNow& now, const SunNow& before,
                 double convergence_deg) {
  const auto sun = [&](const SunNow& s) {
    return compute::Sun{s.altitude_deg, Bearing::degrees(s.azimuth_deg - convergence_deg)};
  };
  HourSky out;
  out.slope.sun = sun(now);
  out.slope.hour_before = sun(before);
  out.slope.cloud = air.cloud;
  out.slope.ambient_mps = air.known ? air.speed_10m_mps : 0;
  return out;
}

size_t carry_height(double source_m) {
  size_t best = 0;
  for (size_t n = 1; n < kCarryHeights_m.size(); ++n)
    if (std::abs(kCarryHeights_m[n] - source_m) < std::abs(kCarryHeights_m[best] - source_m))
      best = n;
  return best;
}

double surface_profile(double height_m, double top_m, double attenuation) {
  return SurfaceProfile(top_m, attenuation).at(height_m);
}

Result<compute::SlopeAir> hour_slope_air(const AirGround& ground, const HourSky& sky,
                                         std::stop_token stop) {
  auto air = compute::slope_air(ground.ground, ground.places, sky.slope, stop);
  if (!air) return air;
  smooth(air->east);
  smooth(air->north);
  return air;
}

compute::WindResponse wind_response(const AirInputs& in, size_t height) {
  compute::WindResponse out{in.cover.timber.spec, {}};
  out.cells.resize(out.spec.size());
  const float* profile = in.cover.profile[height].cells.data();
  const auto weights = ratio_weights(in.air.stability_index);
  const LandTurn::Turn *a = nullptr, *b = nullptr;
  float t = 0;
  for (size_t n = 0; n < kRatioCount; ++n) {
    if (!in.turn[n] || weights[n] <= 0) continue;
    (a ? b : a) = in.turn[n]->at[height].data();
    if (b) t = static_cast<float>(weights[n]);
  }
  if (!b) b = a;
  const float under = static_cast<float>(in.judgement.timber_slope_air);
  for (size_t i = 0; i < out.cells.size(); ++i) {
    LandTurn::Turn m = {1, 0, 0, 1};
    for (size_t n = 0; a && n < 4; ++n) m[n] = a[i][n] + t * (b[i][n] - a[i][n]);
    for (float& v : m) v *= profile[i];
    const float timber = in.cover.timber.cells[i], share = 1 + (under - 1) * timber;
    out.cells[i] = {m[0],
                    m[1],
                    m[2],
                    m[3],
                    in.slope ? share * in.slope->east.cells[i] : 0,
                    in.slope ? share * in.slope->north.cells[i] : 0,
                    timber,
                    0};
  }
  return out;
}

LocalXY upwind_mps(const AirNow& air, WindFrom from) {
  const Bearing toward = from.blows_toward();
  const double speed = air.known ? air.speed_10m_mps : 0;
  return {speed * toward.east(), speed * toward.north()};
}

AirMap make_air_map(const AirInputs& in, const compute::Flow& flow, const SunNow& sun) {
  AirMap out;
  const AirNow& air = in.air;
  const GridSpec& g = flow.spec;
  out.bent =
      std::any_of(in.turn.begin(), in.turn.end(), [](const auto& t) { return t != nullptr; });
  out.east = out.north = out.slope_east = out.slope_north = Raster<float>(g, 0.0F);
  out.doubt = Raster<std::uint8_t>(g, 0);
  Raster<std::uint8_t> lee;
  if (!in.ground.ground.empty() && air.known && air.speed_10m_mps >= 0.5)
    lee = compute::lee_flags(in.ground.ground, air.from.blows_toward());
  // About an hour to each side of sunrise and sunset, while the wind leaves room for slope air.
  const bool transition =
      std::abs(sun.altitude_deg) < 10 && compute::ambient_share(air.speed_10m_mps) > 0;
  const float under = static_cast<float>(in.judgement.timber_slope_air);
  const float* profile = in.cover.profile[0].cells.data();
  const float open_profile = static_cast<float>(surface_profile(kCarryHeights_m[0], 0, 0));
  for (size_t i = 0; i < g.size(); ++i) {
    const compute::Flow::Cell& cell = flow.cells[i];
    out.east.cells[i] = cell.east;
    out.north.cells[i] = cell.north;
    if (in.slope) {
      const float share = 1 + (under - 1) * cell.timber;
      out.slope_east.cells[i] = share * in.slope->east.cells[i];
      out.slope_north.cells[i] = share * in.slope->north.cells[i];
    }
    int doubt = transition ? kDoubtTransition : 0;
    if (!lee.empty() && lee.cells[i]) doubt |= kDoubtLee;
    // What open ground would have here.
    const float open_mps = std::hypot(cell.east, cell.north) / profile[i] * open_profile;
    if (!air.known || open_mps < 1) doubt |= kDoubtCalm;
    if (in.cover.deep.cells[i]) doubt |= kDoubtTimber;
    out.doubt.cells[i] = static_cast<std::uint8_t>(doubt);
  }
  return out;
}

compute::PlumeAir plume_air(const AirNow& air, double source_m, const Judgement& j) {
  compute::PlumeAir out;
  out.stability = air.stability_index;
  out.transport_m = kCarryHeights_m[carry_height(source_m)];
  out.source_m = source_m;
  out.nose_m = j.nose_m;
  // A calm or an unknown wind: to all sides alike.
  const bool has_direction = air.known && air.speed_10m_mps >= kCalmBelow_mps;
  out.extra_sd_rad = (has_direction ? air.extra_sd_deg : kAnyDirectionSd_deg) * kRadPerDeg;
  out.timber_sd_rad = j.timber_sd_deg * kRadPerDeg;
  return out;
}

}  // namespace leeward
