// Wind bent by the land: a mass-consistent field.
//
// From an upwind wind U0 = (u0, v0, 0) that follows the log law above the ground, the nearest field
// that carries no air into the ground and none out of nothing (Sasaki 1958; Sherman 1978, J. Appl.
// Meteor. 17, 312; reviewed in Homicz 2002, SAND2002-2597; equations from memory): minimise
//   int a1^2 (u - u0)^2 + a1^2 (v - v0)^2 + a2^2 w^2 + lambda div U  dV
// With L = lambda / (2 a1^2) and r = a1/a2:
//   u = u0 + L_x,  v = v0 + L_y,  w = r^2 L_z,   L_xx + L_yy + r^2 L_zz = -div U0,
// L = 0 on the open sides and lid (or, at the sides, what a coarser solve over more land has
// there), no flow through the ground. r = 1 is neutral; r < 1 is stable
// (air goes round a hill rather than over it); r > 1 unstable. Papers also define the reciprocal or
// the square.
//
// The field is linear in the upwind vector, so two unit winds (1 m/s toward east, 1 m/s toward
// north at 10 m over the reference ground) are solved once and every hour is a sum of the two.
//
// What it cannot show: separation, eddies in the lee, flow driven by heating or cooling, flow
// inside a canopy. `lee_flags` marks where that matters.
//
// Frame: the property's grid axes, metres; wind vectors point where the air goes (east, north).
#pragma once

#include "core/base/result.h"
#include "core/compute/multigrid.h"
#include "core/geo/raster.h"

#include <array>
#include <span>
#include <stop_token>
#include <vector>

namespace leeward::compute {

struct TerrainWindOptions {
  double cell_m = 0;      ///< Horizontal spacing; 0: chosen from the size, 10 to 25 m.
  double margin_m = 500;  ///< Land solved beyond the area on every side.
  /// Land beyond the margin on every side. Above 0 it is solved first, with all within, on cells
  /// eight times as wide, and what that gives at the margin's edge stands there; the margin is at
  /// least one such cell then. 0: L = 0 at the margin's edge.
  double beyond_m = 0;
  int layers = 16;             ///< At least 12, thin near the ground.
  double first_layer_m = 3;    ///< Thickness of the lowest layer over the highest ground.
  double least_depth_m = 600;  ///< Lid above the highest ground; raised to four times the relief.
  double reference_roughness_m = 0.03;  ///< Of the open ground that the 10 m wind speaks for.
  double stability_ratio = 1;           ///< r = a1/a2.
  double tolerance = 9e-7;              ///< Divergence left at any node, times cell / (1 m/s).
  friend bool operator==(const TerrainWindOptions&, const TerrainWindOptions&) = default;
};

/// Surface under the wind; empty rasters mean the reference ground everywhere.
struct WindSurface {
  Raster<float> roughness_m;     ///< z0. Unknown (NaN) or outside: the reference roughness.
  Raster<float> displacement_m;  ///< d. Unknown or outside: 0.
};

/// Upwind speed over a column, per 1 m/s at 10 m over the reference ground. Log law; over other
/// ground it is tied to the reference profile at a blending height of 60 m (Wieringa 1986, from
/// memory), or of 7.5 d where that is higher (common practice, no source). Zero below d + z0: wind
/// inside a canopy is another model's.
class WindProfile {
 public:
  WindProfile(double reference_roughness_m, double roughness_m, double displacement_m);
  double speed(double height_m) const;
  /// Mean over the heights from `low_m` to `high_m` above ground.
  double mean(double low_m, double high_m) const;
  /// Integral of the speed from the ground up, m2/s. `log_height` is ln(height_m), for a caller
  /// that has it at hand.
  double integral(double height_m) const;
  double integral(double height_m, double log_height) const;
  double displacement_m() const { return d_; }

 private:
  double reference_(double height_m) const;
  double z0_ref_, z0_, d_, blend_m_, log_z0_ref_, log_z0_;
  double per_log_;  // 1 m/s over ln(10 m / z0_ref)
  double below_ = 0, above_ = 0;
};

/// The two unit winds at one height above ground, on the solver's grid: combining them for an hour
/// costs four multiplications a cell.
struct WindSlice {
  GridSpec spec;
  double height_m = 0;
  /// East and north part of the unit wind toward east (ee, en) and toward north (ne, nn).
  Raster<float> ee, en, ne, nn;

  /// The wind of an hour whose upwind vector at 10 m is `upwind_mps`; `east` and `north` get the
  /// slice's grid.
  void combine(LocalXY upwind_mps, Raster<float>& east, Raster<float>& north) const;
  /// The same at one place (bilinear; clamped to the grid's edge outside).
  LocalXY at(LocalXY place, LocalXY upwind_mps) const;
};

struct WindVector {
  double east = 0, north = 0, up = 0;  ///< m/s
};

/// East and north part of the unit wind toward east, then of that toward north.
using UnitTurn = std::array<float, 4>;

class TerrainWind {
 public:
  const GridSpec& spec() const { return spec_; }  ///< Cell centres stand on the node columns.
  int layers() const { return grid_.nz() - 1; }
  int iterations() const { return iterations_; }
  /// Largest divergence left at a node, times cell / (1 m/s), over both unit winds.
  double divergence() const { return divergence_; }
  size_t bytes() const;

  /// REQUIRES: height_m >= 0. Above the lid the highest layer holds.
  WindSlice slice(double height_m) const;
  /// What the land does to the wind at a height, free of the surface: the unit winds over the
  /// upwind speed of the same column there, so that level ground gives (1, 0, 0, 1) whatever grows
  /// on it. Over a canopy it is taken a quarter of its height above the top. The wind near the
  /// surface of a smaller cell is this times that cell's own profile. For each height, by cell of
  /// `grid` (bilinear; clamped to the solver's edge outside).
  std::vector<std::vector<UnitTurn>> shapes(const GridSpec& grid,
                                            std::span<const double> heights_m) const;
  /// At a place and height above the (solver's) ground; clamped to the grid's edge outside.
  WindVector at(LocalXY place, double height_m, LocalXY upwind_mps) const;
  /// The solver's ground at a place, metres above sea.
  double ground_m(LocalXY place) const;

 private:
  friend class TerrainWindSolver;
  class Column;
  /// How many levels of nodes shapes() reads, from the lowest.
  static int levels_read(const ColumnGrid& grid, const std::vector<WindProfile>& profiles,
                         std::span<const double> heights_m);

  GridSpec spec_;
  ColumnGrid grid_;
  std::vector<WindProfile> profile_;
  std::vector<std::uint16_t> kind_;       // profile of each cell
  std::array<std::vector<double>, 2> l_;  // of the unit winds, by node
  int iterations_ = 0;
  double divergence_ = 0;
};

/// A ground made ready for solves over whatever grows on it: its grid and, for each ratio, the
/// matrix (ColumnSolver), about 440 bytes a column of the solver's grid for three ratios. What a
/// solve works in is kept for the next, which would spend a fifth of its time on asking for it.
/// THREADS: may be used from several at once.
class TerrainWindSolver {
 public:
  ~TerrainWindSolver();
  TerrainWindSolver(TerrainWindSolver&&) noexcept;
  TerrainWindSolver& operator=(TerrainWindSolver&&) noexcept;

  /// `ground`, `area` and `options` as for solve_terrain_wind; the ratio of the options does not
  /// count. ERRORS: as there, save cancelled.
  static Result<TerrainWindSolver> over(const Raster<float>& ground, const Box& area,
                                        const TerrainWindOptions& options,
                                        const std::vector<double>& ratios);
  /// By ratio, what solve_terrain_wind gives. ERRORS: cancelled; internal.
  Result<std::vector<TerrainWind>> solve(const WindSurface& surface,
                                         std::stop_token stop = {}) const;
  /// By ratio, TerrainWind::shapes of what solve() gives. ERRORS: likewise.
  Result<std::vector<std::vector<std::vector<UnitTurn>>>> shapes(const WindSurface& surface,
                                                                 const GridSpec& grid,
                                                                 std::span<const double> heights_m,
                                                                 std::stop_token stop = {}) const;

 private:
  struct Parts;
  struct Work;
  explicit TerrainWindSolver(std::unique_ptr<Parts> parts);
  Status solve_into(Work& work, const WindSurface& surface, std::span<const double> heights_m,
                    std::stop_token stop) const;

  std::unique_ptr<Parts> parts_;
};

/// `ground` on the grid that the solve over `area` uses, means of its cells; a solve from it gives
/// the same wind and saves the averaging.
Raster<float> wind_ground(const Raster<float>& ground, const Box& area,
                          const TerrainWindOptions& options = {});

/// Solves the two unit winds over `area` and the margin around it. `ground` is metres above sea;
/// where it is unknown or ends, the nearest known ground is carried on.
/// ERRORS: cancelled; invalid_argument for an empty area, a ground without a known cell, or options
/// out of range.
Result<TerrainWind> solve_terrain_wind(const Raster<float>& ground, const Box& area,
                                       const WindSurface& surface,
                                       const TerrainWindOptions& options = {},
                                       std::stop_token stop = {});

/// The same for several ratios at once (that of the options does not count): what does not depend
/// on the ratio is done once. Each is what a solve for it alone gives.
Result<std::vector<TerrainWind>> solve_terrain_winds(const Raster<float>& ground, const Box& area,
                                                     const WindSurface& surface,
                                                     const TerrainWindOptions& options,
                                                     const std::vector<double>& ratios,
                                                     std::stop_token stop = {});

/// r = a1/a2 for Pasquill class 0 = A .. 5 = F: 1.4 1.2 1.1 1 0.7 0.4. Common practice, no source.
double stability_ratio(int stability);

struct LeeOptions {
  double reach_m = 600;        ///< How far upwind the shelter is looked for.
  double falling_slope = 0.3;  ///< Ground falling faster than this along the wind may separate
                               ///< (guideline limit 0.3 to 0.5, Walmsley et al. 1989, from memory).
  double shelter_slope = 0.1;  ///< Line from here to higher ground upwind steeper than this: within
                               ///< about ten hill heights behind it (common practice, no source).
};
/// 1 where the wind of this kind of model is of low confidence: on ground that falls steeply along
/// the wind, or in the shelter of ground upwind. `toward` is where the air goes. Unknown ground is
/// 0 and shelters nothing.
Raster<std::uint8_t> lee_flags(const Raster<float>& ground, Bearing toward,
                               const LeeOptions& options = {});

}  // namespace leeward::compute
