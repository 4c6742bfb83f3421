// The quick pass: a wave from the eye outward, ring by ring (the "XDraw" family of viewsheds,
// Franklin & Ray 1994). The line to cell j of ring i crosses ring i - 1 between cells j - 1 and j,
// in the share j / i; the horizons of those two are mixed in that share. Slopes are metres of
// height a ring. Cover dims by a sample: some rays, some rings (sight_dimming.h), mixed between.
#include "core/base/multiversion.h"
#include "core/compute/sight_dimming.h"
#include "core/compute/sight_lanes.h"
#include "core/compute/sight_octant.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <cstring>
#include <memory>
#include <vector>

namespace leeward::compute {
namespace {

using lanes::Floats;
using lanes::Ints;
using lanes::kLanes;
using octant::Octant;
using octant::Rings;

constexpr int kStrip = 16;       // rings cut at a time
constexpr float kBelow = -1e6F;  // slope of the horizon before any ground is met

// One ring of cells, and the horizon of the ring inside it, which may be read from one before its
// first cell on. Up to 31 past the last cell are read and written.
struct Ring {
  const float* ground_m;
  const float* horizon;
  float* new_horizon;
  std::uint8_t* seen;  // out: 255 or 0
  float inverse, target_m;
  int count;
};

constexpr float kIndex[kLanes] = {0, 1, 2, 3, 4, 5, 6, 7};

// Cells j to j + 7 of a ring, whose shares of the inner cell to the left are given: whether each is
// seen, all bits or none. Shares above 1 are of cells past the last, which nobody reads.
LEEWARD_INLINE void eight_cells(const Ring& ring, int j, const Floats& share, float target_slope,
                                Ints& seen) {
  Floats a, b, ground;
  lanes::load(a, ring.horizon + j);
  lanes::load(b, ring.horizon + j - 1);
  lanes::load(ground, ring.ground_m + j);
  const Floats horizon = a + (b - a) * share, slope = ground * ring.inverse;
  lanes::store(ring.new_horizon + j, slope > horizon ? slope : horizon);
  seen = (slope + target_slope >= horizon) & (ground > octant::kIsGround_m);
}

LEEWARD_CLONES void bare_ring(const Ring& of) {
  const Ring ring = of;
  Floats index;
  lanes::load(index, kIndex);
  const float target_slope = ring.target_m * ring.inverse;
  for (int j = 0; j < ring.count; j += lanes::kBytes) {
    Ints seen[4];
    for (int k = 0; k < 4; ++k) {
      const int from = j + k * kLanes;
      eight_cells(ring, from, (index + static_cast<float>(from)) * ring.inverse, target_slope,
                  seen[k]);
    }
    lanes::Bytes bytes;
    lanes::low_bytes(seen, bytes);
    std::memcpy(ring.seen + j, &bytes, sizeof bytes);
  }
}

using Bytes = std::uint8_t __attribute__((vector_size(kStrip)));

// The first to the last place.
LEEWARD_CLONES void copy_back(const std::uint8_t* from, int count, std::uint8_t* last) {
  constexpr Bytes kBack = {15, 14, 13, 12, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1, 0};
  int j = 0;
  for (; j + kStrip <= count; j += kStrip) {
    Bytes some;
    std::memcpy(&some, from + j, kStrip);
    some = __builtin_shuffle(some, kBack);
    std::memcpy(last - j - (kStrip - 1), &some, kStrip);
  }
  for (; j < count; ++j) *(last - j) = from[j];
}

// Rows of a square of bytes at each `from_step` become columns: row j of the result, at `to` and
// each `to_step`, holds byte j of each row, of the first row first, or last if `back`.
struct Square {
  const std::uint8_t* from;
  std::ptrdiff_t from_step;
  std::uint8_t* to;
  std::ptrdiff_t to_step;
  bool back;
};
LEEWARD_CLONES void turn_squares(const Square& first, int squares) {
  constexpr Bytes kLow = {0, 16, 1, 17, 2, 18, 3, 19, 4, 20, 5, 21, 6, 22, 7, 23},
                  kHigh = {8, 24, 9, 25, 10, 26, 11, 27, 12, 28, 13, 29, 14, 30, 15, 31};
  const Square s = first;
  for (int n = 0; n < squares; ++n) {
    const std::uint8_t* const from = s.from + n * kStrip;
    std::uint8_t* const to = s.to + n * kStrip * s.to_step;
    Bytes a[kStrip], b[kStrip];
    for (int k = 0; k < kStrip; ++k)
      std::memcpy(&a[k], from + (s.back ? kStrip - 1 - k : k) * s.from_step, kStrip);
    // Four times, rows k and k + 8 are mixed byte by byte: row and column change places bit by bit.
    for (int stage = 0; stage < 4; ++stage) {
      for (int k = 0; k < kStrip / 2; ++k) {
        b[2 * k] = __builtin_shuffle(a[k], a[k + kStrip / 2], kLow);
        b[2 * k + 1] = __builtin_shuffle(a[k], a[k + kStrip / 2], kHigh);
      }
      for (int k = 0; k < kStrip; ++k) a[k] = b[k];
    }
    const std::ptrdiff_t ahead = s.back ? -kStrip : 2 * kStrip - 1;
    for (int j = 0; j < kStrip; ++j) {
      std::memcpy(to + j * s.to_step, &a[j], kStrip);
      __builtin_prefetch(to + j * s.to_step + ahead, 1);
    }
  }
}

class SweepOctant {
 public:
  explicit SweepOctant(const Octant& o)
      : o_(o),
        stride_((std::min(o.rings, o.widest) + 1 + 3 * octant::kPad) / octant::kPad * octant::kPad),
        store_(std::make_unique_for_overwrite<float[]>(static_cast<size_t>(stride_) * (2 + kStrip) +
                                                       2 * octant::kPad)),
        values_(static_cast<size_t>(stride_) * kStrip),
        dims_(static_cast<size_t>(stride_)),
        dimming_(o) {
    float* next = store_.get() + octant::kPad;
    const auto take = [&](int arrays) {
      float* const from = next;
      next += arrays * stride_;
      return from;
    };
    for (float*& h : horizon_) {
      h = take(1);
      std::fill(h - 1, h + stride_, kBelow);
    }
    strip_ = {take(kStrip), nullptr, nullptr, stride_};
  }

  bool sweep(const std::stop_token& stop) {
    for (int first = 1; first <= o_.rings; first += kStrip) {
      if (stop.stop_requested()) return false;
      const int end = std::min(first + kStrip, o_.rings + 1);
      std::memset(dims_.data(), 0, dims_.size() * sizeof dims_[0]);
      octant::cut_ground(o_, first, end, strip_, dims_.data());
      for (int i = first; i < end; ++i) step(i, first);
      dimming_.dim(
          {strip_.ground_m, stride_, dims_.data(), horizon_[(end - 1) & 1], values_.data()}, first,
          end);
      write(first, end);
    }
    return true;
  }

 private:
  void step(int i, int first) {
    const int last = o_.last(i);
    const std::ptrdiff_t at = (i - first) * stride_;
    float* const horizon = horizon_[i & 1];
    bare_ring({strip_.ground_m + at, horizon_[(i - 1) & 1], horizon, values_.data() + at,
               1.0F / static_cast<float>(i), static_cast<float>(o_.options.target_m), last + 1});
    horizon[last + 1] = horizon[last];  // the next ring's last line passes along the diagonal
  }

  void write(int first, int end) const {
    for (int i = first; i < end && std::abs(o_.out_minor) == 1; ++i) {
      const std::uint8_t* from = values_.data() + (i - first) * stride_;
      std::uint8_t* to = o_.out_eye + i * o_.out_major;
      const int from_j = o_.first_owned(), past = o_.last_owned(i) + 1;
      if (past <= from_j) continue;
      if (o_.out_minor > 0)
        std::copy(from + from_j, from + past, to + from_j);
      else
        copy_back(from + from_j, past - from_j, to - from_j);
    }
    if (std::abs(o_.out_minor) != 1) write_turned(first, end);
  }

  // Rings that run across the rows of the result.
  void write_turned(int first, int end) const {
    int lasts[kStrip], narrowest = o_.rings;
    for (int i = first; i < end; ++i) {
      const int last = lasts[i - first] = o_.last_owned(i);
      narrowest = std::min(narrowest, last);
    }
    int j = o_.first_owned();
    const bool back = o_.out_major < 0;
    const auto turn = [&](int from, int squares) {
      turn_squares({values_.data() + from, stride_,
                    o_.out_eye + (back ? end - 1 : first) * o_.out_major + from * o_.out_minor,
                    o_.out_minor, back},
                   squares);
    };
    if (end - first == kStrip && narrowest - j >= kStrip) {
      turn(j, (narrowest + 1 - j) / kStrip);
      turn(narrowest + 1 - kStrip, 1);  // some of its columns again
      j = narrowest + 1;
    }
    for (int k = 0; k < end - first; ++k) {
      const std::uint8_t* from = values_.data() + k * stride_;
      std::uint8_t* to = o_.out_eye + (first + k) * o_.out_major;
      for (int at = j; at <= lasts[k]; ++at) to[at * o_.out_minor] = from[at];
    }
  }

  const Octant& o_;
  std::ptrdiff_t stride_;
  std::unique_ptr<float[]> store_;
  std::vector<std::uint8_t> values_;
  std::vector<std::int32_t> dims_;
  octant::Dimming dimming_;
  float* horizon_[2];
  Rings strip_{};
};

// Whether the octant reads a cell of the box, which is given from the eye.
bool reads(const Octant& o, const CellBox& box) {
  const octant::RingBox b = octant::as_rings(o, box);
  if (b.last_aside < 0) return false;
  for (int i = std::max({b.first_ring, b.first_aside, 0}); i <= std::min(b.last_ring, o.rings); ++i)
    if (b.first_aside <= o.last(i)) return true;
  return false;
}

}  // namespace

Result<Raster<std::uint8_t>> sight_from(const SightLand& land, LocalXY eye,
                                        const SightOptions& options, std::stop_token stop) {
  octant::Disc disc = octant::disc_around(land, eye, options);
  if (!disc.known) return std::move(disc.seen);
  return octant::walked(std::move(disc), stop,
                        [&](const Octant& o) { SweepOctant(o).sweep(stop); });
}

Result<Raster<std::uint8_t>> sight_from_again(const SightLand& land, LocalXY eye,
                                              const SightOptions& options,
                                              const Raster<std::uint8_t>& before,
                                              const std::vector<CellBox>& changed,
                                              std::stop_token stop) {
  octant::Disc disc = octant::disc_around(land, eye, options);
  if (!disc.known) return std::move(disc.seen);
  assert(before.spec == disc.seen.spec);
  const int col = land.spec.cell_col(eye.x), row = land.spec.cell_row(eye.y);
  const auto swept_again = [&](const Octant& o) {
    return std::any_of(changed.begin(), changed.end(), [&](const CellBox& b) {
      return reads(o, {b.col - col, b.row - row, b.cols, b.rows});
    });
  };
  disc.seen.cells = before.cells;  // in place: the octants point there
  *disc.octants[0].out_eye = 255;
  return octant::walked(std::move(disc), stop, [&](const Octant& o) {
    if (swept_again(o)) SweepOctant(o).sweep(stop);
  });
}

}  // namespace leeward::compute
