// Scent as a plume that bends with the wind over the land, averaged over the spread of direction;
// forward from a person, or backward from a deer.
//
// For a place p at the distance l from the source, the wind is followed along the straight line to
// it: m its mean vector, u its mean speed, T = l / u, and the share of the line under canopy. With
// d the angle between the line and m:
//   C(p) = (1 - F) f(d; s) V(l) / (u_e l)  +  F G V(l) / (2 pi u_e l)
// d is, to first order in the bending of the wind, the angle by which the wind would have to be
// turned all the way for its streamline from the source to pass p; for an even wind that turns on
// circles it is exact.
// V the vertical Gaussian with reflection at the ground (Turner 1970, eq. 3.1), f a von Mises
// density of circular spread s, u_e = sqrt(u^2 + 2 sv^2), F = 2 sv^2 / u_e^2 the share that light
// wind carries to all sides (Cimorelli et al. 2005, from memory).
//
// The spread s joins three parts in quadrature: turbulence, s_t f(T) with the sigma_y of
// near_field.h joined to Briggs; wandering in light wind, what sv / u has beyond s_t; and what the
// forecast adds (gusts, turning). sv is 0.5 m/s in the open (Hanna, from memory) and 0.15 m/s under
// canopy (common practice, no source), where s is at least 25 degrees as well.
//
// G is the burst factor of an hour's mean over that of a ten-minute mean: peak / mean = (t_mean /
// t_peak)^(6/17) for a point source (CSIRO, Borgas), so that wind that wanders to all sides is not
// made harmless by the averaging.
//
// All of it depends on the line alone, and a line may be followed from either end: the plume of a
// deer run backward gives for each place the exposure that a person there causes. Air is not
// squeezed: where streamlines draw together the layer grows deeper, so that C is not raised by it.
//
// Relative exposure 1 is what stands 25 m straight downwind of a person on open ground (scent 1 m,
// nose 1 m) in class D with 2 m/s at 2 m. It compares; it does not say what a deer will notice: no
// published threshold exists.
//
// Frame: the property's grid axes, metres.
#pragma once

#include "core/base/unset.h"
#include "core/geo/raster.h"

#include <array>
#include <cmath>
#include <cstdint>
#include <vector>

namespace leeward::compute {

/// The wind that carries scent, on a grid: east and north part (m/s, toward), share under canopy,
/// speed (m/s).
struct Flow {
  struct Cell {
    float east = 0, north = 0, timber = 0, speed = 0;
    static Cell of(float east, float north, float timber) {
      return {east, north, timber, std::sqrt(east * east + north * north)};
    }
  };
  GridSpec spec;
  UnsetVector<Cell> cells;

  static Flow uniform(const GridSpec& spec, LocalXY toward_mps);
  /// Bilinear between cell centres, clamped to the grid's edge.
  Cell at(LocalXY p) const;
};

/// Circular spread, source and air of an hour.
struct PlumeAir {
  double stability = 3;            ///< 0 = A .. 5 = F, may lie between.
  double roughness_m = 0.03;       ///< Of the open ground.
  double transport_m = 2;          ///< Height at which the flow holds.
  double source_m = 1;             ///< Of the scent above ground.
  double nose_m = 1;               ///< Height at which it is met.
  double extra_sd_rad = 0;         ///< Spread of direction that the forecast adds.
  double timber_sd_rad = 0.43633;  ///< Least spread below a canopy: 25 degrees (25 to 40, memory).
  friend bool operator==(const PlumeAir&, const PlumeAir&) = default;
};

/// Circular spread of direction that the plume has 50 m from its source at this speed, radians, at
/// most 104 degrees (uniform).
double plume_spread_rad(const PlumeAir& air, double speed_mps, double timber);

/// peak / mean of concentration from a point source, (t_mean / t_peak)^(6/17).
double peak_to_mean(double mean_s, double peak_s);

/// Strength and spread of a plume by length of line, mean speed and setting; shared by all sources
/// of an hour. A sitter above the ground never counts for less than a tenth of the same person on
/// the ground (downdraughts, stem wakes and falling skin defeat the ideal air that would carry
/// scent overhead).
class PlumeTable {
 public:
  explicit PlumeTable(const PlumeAir& air, double reach_m = 800);

  /// A ring: by speed, evenly in the logarithm from 0.1 to 16 m/s, what holds in the open, then
  /// what holds in timber, each: logarithm of the directed part times l^2 on the axis, kappa, the
  /// part to all sides times l^2, and a filler.
  static constexpr int kSpeeds = 16, kCell = 8;
  using Row = std::array<std::array<float, kCell>, kSpeeds>;
  const Row& row(int ring) const { return rows_[static_cast<size_t>(ring)]; }
  double reach_m() const { return reach_m_; }
  int rings() const { return rings_; }
  /// No place at this distance has more, whatever the wind; beyond the reach 0.
  double most_at(double distance_m) const;
  /// Distance of a ring from the source.
  static double ring_m(int ring);

 private:
  double reach_m_;
  int rings_;
  std::vector<Row> rows_;
  std::vector<double> most_;  // by ring: times l^2, from it to the next
};

/// A value with the range in which it lies in four cases of five.
struct ScentBand {
  double exposure = 0, low = 0, high = 0;
};

enum class Run { forward, backward };

/// Where places stand around a source, in the rings and angles of a plume: worked out once for the
/// plumes of many hours. 14 bytes a place.
struct PolarPlaces {
  explicit PolarPlaces(const std::vector<LocalXY>& places, LocalXY source, double reach_m = 800);

  LocalXY source;
  double reach_m;
  std::vector<std::uint16_t> place;  ///< Ring times angles, and angle.
  std::vector<float> outward, around, scale;

 protected:
  PolarPlaces(LocalXY source, double reach_m);
  void resize(size_t count);
};

/// The same of the cells of a grid within reach.
struct PolarCells : PolarPlaces {
  PolarCells(const GridSpec& grid, LocalXY source, double reach_m = 800);

  /// Cells of a row within reach: the first in the grid, the first below, and their number.
  struct Span {
    size_t cell, from;
    int count;
  };
  GridSpec grid;
  std::vector<Span> spans;
};

/// Exposure at a few places, each along its own line; 0 beyond the reach. The plain way, by which
/// ScentPlume, which mixes between rays and rings, and TurnedLines are checked.
std::vector<double> exposures(const Flow& flow, const PlumeTable& table, LocalXY source,
                              const std::vector<LocalXY>& places, Run run = Run::forward);

class ScentPlume {
 public:
  /// Backward: the places are those of the person, `source` is the deer.
  ScentPlume(const Flow& flow, const PlumeTable& table, LocalXY source, Run run = Run::forward);

  double at(LocalXY p) const;
  /// Of each of the places. REQUIRES: `where` of this source.
  std::vector<float> at(const PolarPlaces& where) const;
  /// Of the cells of a grid; beyond the reach 0.
  Raster<float> field(const GridSpec& grid) const;
  /// The band joins the factor by which such models err (1.8 in the open, 2.5 under canopy: of the
  /// order of the scatter from class and speed alone on the Prairie Grass runs; under canopy common
  /// practice, no source) and 10 degrees of error in the hour's mean direction (common practice, no
  /// source).
  ScentBand band_at(LocalXY p) const;
  /// field += weight * min(cap, exposure); beyond the reach nothing. REQUIRES: `where` of this
  /// source and of the field's grid.
  void add_to(Raster<float>& field, const PolarCells& where, float weight = 1,
              float cap = 1e9F) const;
  LocalXY source() const { return source_; }

 private:
  LocalXY source_;
  double reach_m_;
  int rings_;
  // By ring and ray, rays anticlockwise from east and the first again at the end: mean direction of
  // the wind (not normalised), what the table says, share under canopy.
  UnsetVector<float> mean_x_, mean_y_, log_peak_, kappa_, rest_, timber_;
  // By ring and angle, the first again at the end: exposure times the squared distance.
  UnsetVector<float> value_;
};

}  // namespace leeward::compute
