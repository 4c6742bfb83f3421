// Inside the sight passes: the disc around an eye cut into eight octants, each laid out in rings.
//
// Ring i of an octant holds the cells i rows (or columns) from the eye's row, cell j of it lies j
// cells to the side, 0 <= j <= i. All heights are in metres from the eye.
#pragma once

#include "core/compute/sight.h"

#include <algorithm>
#include <cstddef>
#include <functional>
#include <vector>

namespace leeward::compute::octant {

inline constexpr float kNoGround_m = -1e6F;  ///< Height of unknown ground: never blocks.
inline constexpr float kIsGround_m = -1e5F;  ///< Known ground lies above this.
inline constexpr float kOpaque = 6.3F;       ///< Optical depth that leaves less than half of 1/255.
inline constexpr float kTie = 1.0F / 1024;   ///< Nearer than this to half way is half way.
inline constexpr int kPad = 16;  ///< Cells that a vector may read past the last of a ring.

struct Octant {
  /// Of the land, at the eye.
  const float *ground_m = nullptr, *top_m = nullptr, *density_per_m = nullptr;
  std::ptrdiff_t major = 0, minor = 0;  ///< From ring to ring, and to the side, in cells of land.
  std::uint8_t* out_eye = nullptr;
  std::ptrdiff_t out_major = 0, out_minor = 0;
  int rings = 0;   ///< The last ring on the land and within the reach.
  int widest = 0;  ///< The last j on the land.
  double reach_cells = 0;
  float cell_m = 1;
  float eye_z_m = 0;  ///< Above sea.
  SightOptions options;
  bool owns_axis = false, owns_diagonal = false;  ///< Two octants share each; one writes it.
  std::vector<int> lasts;  ///< By ring: the last j within the reach and on the land; -1 if none.

  /// What is added to a place between cells before it is cut to the nearest cell: a place half way
  /// goes to the eastern or southern one, whichever end the line is followed from.
  float half() const { return 0.5F + (minor > 0 ? kTie : -kTie); }
  int last(int ring) const { return lasts[static_cast<std::size_t>(ring)]; }
  int last_cleared(int ring) const;  ///< The last j near enough to the eye not to dim; -1 if none.
  int first_owned() const { return owns_axis ? 0 : 1; }
  int last_owned(int ring) const { return last(ring) - (!owns_diagonal && last(ring) == ring); }
};

/// A box of cells as an octant counts them; the ends count. Cells beside the octant too.
struct RingBox {
  int first_ring, last_ring, first_aside, last_aside;
};
/// `box` is given from the eye: its cell is 0, 0.
RingBox as_rings(const Octant& octant, const CellBox& box);

/// Some rings, one array a layer, `stride` cells from ring to ring.
struct Rings {
  float* ground_m;       ///< kNoGround_m where unknown.
  float* top_m;          ///< Of the cover; kNoGround_m where there is none.
  float* density_per_m;  ///< 0 within the cleared distance of the eye.
  std::ptrdiff_t stride;
};

/// The part of an octant between two directions, in cells to the side a ring; a cell or two more.
struct Slice {
  double low = 0, high = 1;
  int first(int ring) const { return std::max(0, static_cast<int>(low * ring) - 1); }
  int past(int ring) const { return static_cast<int>(high * ring) + 3; }
};

/// Copies rings [first, end) of the octant within the slice; `rings` starts at ring `first`.
void cut(const Octant& octant, int first, int end, const Rings& rings, const Slice& slice = {});
/// Their ground alone. `dims`: by cell of a ring and up to 7 more, what is not 0 once cover that
/// dims is on one of these rings; where rings run across the rows of land, of eight cells from the
/// slice's first on one stands for all.
void cut_ground(const Octant& octant, int first, int end, const Rings& rings, std::int32_t* dims,
                const Slice& slice = {});

/// The part of the land within the reach, all 0, and its octants (none where the eye stands on no
/// ground).
struct Disc {
  Raster<std::uint8_t> seen;
  Octant octants[8];
  bool known = false;
};
Disc disc_around(const SightLand& land, LocalXY eye, const SightOptions& options);
/// Walks the octants that have rings, side by side; what was seen. ERRORS: cancelled.
Result<Raster<std::uint8_t>> walked(Disc disc, std::stop_token stop,
                                    const std::function<void(const Octant&)>& walk);

}  // namespace leeward::compute::octant
