// The exact pass: the sight line to the centre of every cell is walked whole, eight cells of a ring
// at a time. Blocks of rings that lie whole below the lines are passed over, which changes nothing.
#include "core/base/multiversion.h"
#include "core/compute/fast_exp.h"
#include "core/compute/sight_beam.h"
#include "core/compute/sight_octant.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <memory>
#include <vector>

namespace leeward::compute {
namespace {

using lanes::kLanes;
using octant::Beam;
using octant::Octant;
using octant::Rings;
using octant::Slice;

constexpr int kBlock = 16;     // rings, and cells of a ring, that share their highest point
constexpr int kBin = 4;        // cells of the outermost ring that are told apart by direction
constexpr int kWedgeBins = 8;  // bins whose lines are walked together

// Raises the highest of each block of cells by those of a ring, from cell `first` on.
LEEWARD_CLONES void raise(const float* ring, int first, int end, float* __restrict highest) {
  for (int j = first; j < end;) {
    const int past = std::min((j / kBlock + 1) * kBlock, end);
    float most = octant::kNoGround_m;
    for (int k = j; k < past; ++k) most = most > ring[k] ? most : ring[k];
    float& block = highest[j / kBlock];
    block = block > most ? block : most;
    j = past;
  }
}

// The highest ground and cover of blocks of cells.
class Highest {
 public:
  Highest(const Octant& o, const Rings& rings, const Slice& slice)
      : across_((o.rings + kBlock) / kBlock + 2),
        ground_(blocks(o.rings), octant::kNoGround_m),
        cover_(ground_) {
    for (int i = 0; i <= o.rings; ++i) {
      const int first = slice.first(i), end = std::min(o.last(i) + 1, slice.past(i));
      raise(rings.ground_m + i * rings.stride, first, end, ground_.data() + at(i / kBlock, 0));
      raise(rings.top_m + i * rings.stride, first, end, cover_.data() + at(i / kBlock, 0));
    }
  }
  // Over cells [from, to] of the rings of block `block`.
  std::pair<float, float> over(int block, int from, int to) const {
    float ground = octant::kNoGround_m, cover = ground;
    for (int j = from / kBlock; j <= to / kBlock; ++j) {
      ground = std::max(ground, ground_[at(block, j)]);
      cover = std::max(cover, cover_[at(block, j)]);
    }
    return {ground, cover};
  }

 private:
  size_t blocks(int rings) const {
    return static_cast<size_t>(across_) * static_cast<size_t>(rings / kBlock + 1);
  }
  size_t at(int block, int across) const {
    return static_cast<size_t>(block) * static_cast<size_t>(across_) + static_cast<size_t>(across);
  }
  int across_;
  std::vector<float> ground_, cover_;
};

constexpr float kAbove_m = 1e9F;  // above all that is

// The rings on which lines change, and how.
struct Change {
  int first_ring, last_ring;
  float top_m = -kAbove_m;  // of the cover that changes, from the eye
  bool more = true;         // there is nowhere less cover than before

  void join(const Change& o) {
    first_ring = std::min(first_ring, o.first_ring);
    last_ring = std::max(last_ring, o.last_ring);
    top_m = std::max(top_m, o.top_m);
    more = more && o.more;
  }
  // By lines that rise by `rise_m` a ring or more, which end before or behind it.
  bool passed_above(float rise_m) const {
    return rise_m * static_cast<float>(rise_m < 0 ? last_ring : first_ring) > top_m;
  }
};

// Directions of an octant whose lines are walked together, from the first ring on where they
// change.
struct Wedge {
  int first_bin, end_bin;
  Change change;
};

int bin_count(const Octant& o) { return (o.rings + kBin) / kBin; }

std::vector<Wedge> all_wedges(const Octant& o) {
  std::vector<Wedge> out;
  for (int bin = 0; bin < bin_count(o); bin += kWedgeBins)
    out.push_back({bin, bin + kWedgeBins, {1, o.rings, kAbove_m, false}});
  return out;
}

// First and last cell of a ring in a wedge of the octant.
std::pair<int, int> cells_of(const Octant& o, const Wedge& wedge, int ring) {
  const auto begin = [&](int bin) { return (bin * kBin * ring + o.rings - 1) / o.rings; };
  return {std::max(begin(wedge.first_bin), o.first_owned()),
          std::min(begin(wedge.end_bin) - 1, o.last_owned(ring))};
}

Slice slice_of(const Octant& o, const std::vector<Wedge>& wedges) {
  const double a_bin = static_cast<double>(kBin) / o.rings;
  return {wedges.front().first_bin * a_bin, std::min(1.0, wedges.back().end_bin * a_bin)};
}

// Joins what happens in the box, which is given from the eye, to each bin with lines that meet a
// cell of it: a line passes between two cells of a ring and takes the ground of both.
void touch(const Octant& o, const CoverChange& box, std::vector<Change>& bins) {
  const octant::RingBox b = octant::as_rings(o, box);
  const int nearest = std::max(b.first_ring, 1);
  if (b.last_ring < nearest || b.last_aside < -1) return;
  const double low = std::max(0.0, (b.first_aside - 1.0) / b.last_ring),
               high = (b.last_aside + 1.0) / nearest;
  const double a_slope = static_cast<double>(o.rings) / kBin;
  const int last = static_cast<int>(bins.size()) - 1;
  const int from = static_cast<int>(std::floor(std::min(low * a_slope - 1e-6, last + 1.0))),
            to = static_cast<int>(std::min(high * a_slope + 1e-6, last + 0.0));
  for (int bin = std::max(0, from); bin <= to; ++bin)
    bins[static_cast<size_t>(bin)].join({nearest, b.last_ring, box.top_m, box.more});
}

std::vector<Wedge> touched_wedges(const Octant& o, const std::vector<CoverChange>& from_eye) {
  std::vector<Change> bins(static_cast<size_t>(bin_count(o)), Change{o.rings + 1, 0});
  for (const CoverChange& b : from_eye) touch(o, b, bins);
  std::vector<Wedge> out;
  for (int bin = 0; bin < bin_count(o); ++bin) {
    const Change& change = bins[static_cast<size_t>(bin)];
    if (change.first_ring > o.rings) continue;
    const bool joins =
        !out.empty() && out.back().end_bin == bin && bin - out.back().first_bin < kWedgeBins;
    if (!joins) out.push_back({bin, bin, change});
    out.back().end_bin = bin + 1;
    out.back().change.join(change);
  }
  return out;
}

class ExactOctant {
 public:
  ExactOctant(const Octant& o, const std::vector<Wedge>& wedges)
      : o_(o),
        wedges_(wedges),
        slice_(slice_of(o, wedges)),
        stride_((o.rings + 2 * octant::kPad) / octant::kPad * octant::kPad),
        store_(std::make_unique_for_overwrite<float[]>(3 * layer_size())),
        rings_{store_.get(), store_.get() + layer_size(), store_.get() + 2 * layer_size(),
               stride_} {
    for (int i = 0; i <= o.rings; ++i) {  // what lies beyond the cells that are cut
      const std::ptrdiff_t from = i * stride_ + std::max(slice_.first(i), o.last(i) + 1),
                           past = i * stride_ + std::min<std::ptrdiff_t>(slice_.past(i), stride_);
      if (from >= past) continue;
      std::fill(rings_.ground_m + from, rings_.ground_m + past, octant::kNoGround_m);
      std::fill(rings_.top_m + from, rings_.top_m + past, octant::kNoGround_m);
      std::fill(rings_.density_per_m + from, rings_.density_per_m + past, 0.0F);
    }
    octant::cut(o, 0, o.rings + 1, rings_, slice_);
  }

  void walk(const std::stop_token& stop) {
    const Highest highest(o_, rings_, slice_);
    highest_ = &highest;
    for (const Wedge& wedge : wedges_) {
      if (stop.stop_requested()) return;
      hint_ = 0;
      for (int i = wedge.change.first_ring; i <= o_.rings; ++i) {
        const auto [from, to] = cells_of(o_, wedge, i);
        for (int j = from; j <= to; j += kLanes) {
          const int last = std::min(j + kLanes - 1, to);
          if (!wedge.change.more || !dark(i, j, last)) eight(wedge.change, i, j, last);
        }
      }
    }
  }

 private:
  size_t layer_size() const {
    return static_cast<size_t>(stride_) * static_cast<size_t>(o_.rings + 1) + octant::kPad;
  }

  // Whether nothing was seen there before.
  bool dark(int ring, int first, int last) const {
    const std::uint8_t* out = o_.out_eye + ring * o_.out_major;
    int seen = 0;
    for (int j = first; j <= last; ++j) seen |= out[j * o_.out_minor];
    return seen == 0;
  }

  void eight(const Change& change, int ring, int first, int last) {
    Beam beam;
    beam.ring = ring;
    const std::ptrdiff_t at = ring * rings_.stride;
    const float inverse = 1.0F / static_cast<float>(ring);
    float least = 1e9F;
    const bool in_eye_cover = rings_.top_m[0] > 0;
    for (int l = 0; l < kLanes; ++l) {
      const int j = std::min(first + l, last);
      const float target = rings_.ground_m[at + j] + static_cast<float>(o_.options.target_m);
      beam.aside[l] = static_cast<float>(j) / static_cast<float>(ring);
      beam.step_m[l] = o_.cell_m * std::sqrt(1.0F + beam.aside[l] * beam.aside[l]);
      beam.rise_m[l] = target * inverse;
      beam.hidden[l] = rings_.ground_m[at + j] > octant::kIsGround_m ? 0 : -1;
      const float ends = (in_eye_cover ? rings_.density_per_m[0] : 0.0F) +
                         (target < rings_.top_m[at + j] ? rings_.density_per_m[at + j] : 0.0F);
      beam.depth[l] = 0.5F * ends * beam.step_m[l];
      least = std::min(least, beam.rise_m[l]);
    }
    if (change.passed_above(least)) return;
    const bool unseen = hidden_at_hint(beam) || follow(beam, least);
    write(beam, unseen, ring, first, last);
  }

  // Neighbouring lines are mostly hidden by the same ridge.
  bool hidden_at_hint(Beam& beam) const {
    if (hint_ * kBlock >= beam.ring) return false;
    ground(beam, hint_);
    return whole(beam);
  }

  // True once nothing is left to be seen.
  bool follow(Beam& beam, float least) {
    for (int block = 0; block * kBlock < beam.ring; ++block) {
      const int first = std::max(1, block * kBlock),
                last = std::min((block + 1) * kBlock, beam.ring) - 1;
      if (last < first) continue;
      const int from = static_cast<int>(static_cast<float>(first) * beam.aside[0]);
      const int to = static_cast<int>(static_cast<float>(last) * beam.aside[kLanes - 1]) + 1;
      const float lowest = least * static_cast<float>(least < 0 ? last : first);
      const auto [highest_ground, highest_cover] = highest_->over(block, from, to);
      if (highest_ground > lowest) {
        ground(beam, block);
        if (whole(beam)) {
          hint_ = block;
          return true;
        }
      }
      if (highest_cover > lowest) {
        meet_cover(beam, rings_.top_m, rings_.density_per_m, rings_.stride, o_.half(), first,
                   last + 1);
        if (opaque(beam)) return true;
      }
    }
    return false;
  }

  void ground(Beam& beam, int block) const {
    meet_ground(beam, rings_.ground_m, rings_.stride, std::max(1, block * kBlock),
                std::min((block + 1) * kBlock, beam.ring));
  }
  static bool whole(const Beam& beam) {
    std::int32_t all = -1;
    for (int l = 0; l < kLanes; ++l) all &= beam.hidden[l];
    return all != 0;
  }
  static bool opaque(const Beam& beam) {
    bool all = true;
    for (int l = 0; l < kLanes; ++l) all &= beam.depth[l] > octant::kOpaque || beam.hidden[l] != 0;
    return all;
  }

  void write(const Beam& beam, bool unseen, int ring, int first, int last) const {
    std::uint8_t* out = o_.out_eye + ring * o_.out_major + first * o_.out_minor;
    for (int l = 0; l <= last - first; ++l) {
      const float share = unseen || beam.hidden[l] ? 0.0F : fast_exp(-beam.depth[l]);
      out[l * o_.out_minor] = static_cast<std::uint8_t>(255.0F * share + 0.5F);
    }
  }

  const Octant& o_;
  const std::vector<Wedge>& wedges_;
  Slice slice_;
  std::ptrdiff_t stride_;
  std::unique_ptr<float[]> store_;
  Rings rings_;
  const Highest* highest_ = nullptr;
  int hint_ = 0;
};

}  // namespace

std::vector<CoverChange> cover_changes(const SightLand& before, const SightLand& now,
                                       const std::vector<CellBox>& boxes) {
  constexpr float kRounding_m = 0.01F;  // of heights above sea that become heights from an eye
  std::vector<CoverChange> out;
  for (const CellBox& box : boxes) {
    CoverChange change{box, -kAbove_m, true};
    for (int r = box.row; r < box.end_row(); ++r)
      for (int c = box.col; c < box.end_col(); ++c) {
        const SightCell was = before.at(c, r), is = now.at(c, r);
        const bool same_ground =
            was.ground_m == is.ground_m || (std::isnan(was.ground_m) && std::isnan(is.ground_m));
        change.more = change.more && same_ground && is.top_m >= was.top_m &&
                      is.density_per_m >= was.density_per_m;
        const float top_m =
            same_ground ? is.ground_m + std::max(was.top_m, is.top_m) + kRounding_m : kAbove_m;
        if (top_m > change.top_m) change.top_m = top_m;  // never where the ground is unknown
      }
    out.push_back(change);
  }
  return out;
}

Result<Raster<std::uint8_t>> sight_exact(const SightLand& land, LocalXY eye,
                                         const SightOptions& options, std::stop_token stop) {
  octant::Disc disc = octant::disc_around(land, eye, options);
  if (!disc.known) return std::move(disc.seen);
  return octant::walked(std::move(disc), stop, [&](const Octant& o) {
    const std::vector<Wedge> wedges = all_wedges(o);
    ExactOctant(o, wedges).walk(stop);
  });
}

Result<Raster<std::uint8_t>> sight_exact_again(const SightLand& land, LocalXY eye,
                                               const SightOptions& options,
                                               const Raster<std::uint8_t>& before,
                                               const std::vector<CoverChange>& changed,
                                               std::stop_token stop) {
  const int col = land.spec.cell_col(eye.x), row = land.spec.cell_row(eye.y);
  const auto holds_eye = [&](const CellBox& b) {
    return col >= b.col && col < b.col + b.cols && row >= b.row && row < b.row + b.rows;
  };
  if (std::any_of(changed.begin(), changed.end(), holds_eye))
    return sight_exact(land, eye, options, stop);
  octant::Disc disc = octant::disc_around(land, eye, options);
  if (!disc.known) return std::move(disc.seen);
  assert(before.spec == disc.seen.spec);
  disc.seen.cells = before.cells;  // in place: the octants point there
  std::vector<CoverChange> from_eye = changed;
  for (CoverChange& b : from_eye) b.col -= col, b.row -= row, b.top_m -= disc.octants[0].eye_z_m;
  return octant::walked(std::move(disc), stop, [&](const Octant& o) {
    const std::vector<Wedge> wedges = touched_wedges(o, from_eye);
    if (!wedges.empty()) ExactOctant(o, wedges).walk(stop);
  });
}

double sight_again_share(const GridSpec& land, LocalXY eye, double reach_m,
                         const std::vector<CoverChange>& changed) {
  constexpr int kSectors = 64;
  const double reach = reach_m / land.cell_m;
  const int col = land.cell_col(eye.x), row = land.cell_row(eye.y);
  std::vector<double> nearest(kSectors, reach);
  for (const CellBox& b : changed) {
    const double x0 = b.col - col - 0.5, y0 = b.row - row - 0.5, x1 = x0 + b.cols, y1 = y0 + b.rows;
    const double near = std::hypot(std::clamp(0.0, x0, x1), std::clamp(0.0, y0, y1));
    if (near <= 0) return 1;
    if (near >= reach) continue;
    const double middle = std::atan2(y0 + y1, x0 + x1);
    double aside = 0;
    for (const double x : {x0, x1})
      for (const double y : {y0, y1})
        aside = std::max(aside, std::abs(std::remainder(std::atan2(y, x) - middle, 2 * kPi)));
    const int first = static_cast<int>(std::floor((middle - aside) / (2 * kPi) * kSectors)),
              last = static_cast<int>(std::floor((middle + aside) / (2 * kPi) * kSectors));
    for (int s = first; s <= std::min(last, first + kSectors - 1); ++s) {
      double& at = nearest[static_cast<size_t>((s + 2 * kSectors) % kSectors)];
      at = std::min(at, near);
    }
  }
  double share = 0;  // a line's length times the cells at that distance
  for (const double near : nearest) share += 1 - std::pow(near / reach, 3);
  return share / kSectors;
}

}  // namespace leeward::compute
