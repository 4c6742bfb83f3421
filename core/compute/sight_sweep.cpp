// The quick pass: a wave from the eye outward, ring by ring (the "XDraw" family of viewsheds,
// Franklin & Ray 1994), extended by dimming cover. The line to cell j of ring i crosses ring i - 1
// between cells j - 1 and j, in the share j / i; what those two have met is mixed in that share.
// Slopes are metres of height a ring. Optical depth is kept at a few slopes of the line, which lie
// close where the targets in view are.
#include "core/base/multiversion.h"
#include "core/base/parallel.h"
#include "core/compute/fast_exp.h"
#include "core/compute/sight_lanes.h"
#include "core/compute/sight_octant.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace leeward::compute {
namespace {

using lanes::Floats;
using lanes::Ints;
using lanes::kLanes;
using octant::Octant;
using octant::Rings;

constexpr int kSlopes = 8;
constexpr int kStrip = 16;         // rings cut at a time
constexpr float kBelow = -1e6F;    // slope of the horizon before any ground is met
constexpr double kNear_m = 8;      // nearer targets share the lowest slope
constexpr float kHidden = 100.0F;  // optical depth that lets nothing through

// One ring of cells, and what is carried from the ring inside it. Each array may be read from one
// before its first to kPad past its last cell.
struct Ring {
  const float *ground_m, *top_m, *density_per_m;
  const float* horizon;  // of the ring inside
  float* new_horizon;
  const float* depth;  // kSlopes arrays of the ring inside, `stride` apart; in 1/m, a ring long
  float* new_depth;
  std::ptrdiff_t stride;
  float* met;  // out: what lies between eye and target, in 1/m; kHidden: all
  float inverse, target_m, cell_m;
  int count;
};

struct Slopes {
  std::array<float, kSlopes> at;
  std::array<float, kSlopes> inverse_gap;  // to the next
};

constexpr float kIndex[kLanes] = {0, 1, 2, 3, 4, 5, 6, 7};

LEEWARD_CLONES void bare_ring(const Ring& ring) {
  Floats index;
  lanes::load(index, kIndex);
  const Floats zero = index * 0.0F, one = zero + 1.0F, hidden = zero + kHidden;
  const float inverse = ring.inverse, target_m = ring.target_m;
  for (int j = 0; j < ring.count; j += kLanes) {
    Floats share = (index + static_cast<float>(j)) * inverse;
    share = share < one ? share : one;
    Floats a, b, ground;
    lanes::load(a, ring.horizon + j);
    lanes::load(b, ring.horizon + j - 1);
    lanes::load(ground, ring.ground_m + j);
    const Floats horizon = (one - share) * a + share * b;
    const Floats slope = ground * inverse, target = (ground + target_m) * inverse;
    const Ints seen = (target >= horizon) & (ground > octant::kIsGround_m);
    lanes::store(ring.new_horizon + j, slope > horizon ? slope : horizon);
    lanes::store(ring.met + j, seen ? zero : hidden);
  }
}

LEEWARD_CLONES void covered_ring(const Ring& ring, const Slopes& slopes) {
  Floats index;
  lanes::load(index, kIndex);
  const Floats zero = index * 0.0F, one = zero + 1.0F, hidden = zero + kHidden;
  const float inverse = ring.inverse, target_m = ring.target_m;
  for (int j = 0; j < ring.count; j += kLanes) {
    Floats share = (index + static_cast<float>(j)) * inverse;
    share = share < one ? share : one;
    const Floats rest = one - share;
    Floats a, b, ground, cover, density;
    lanes::load(a, ring.horizon + j);
    lanes::load(b, ring.horizon + j - 1);
    lanes::load(ground, ring.ground_m + j);
    lanes::load(cover, ring.top_m + j);
    lanes::load(density, ring.density_per_m + j);
    const Floats horizon = rest * a + share * b;
    const Floats slope = ground * inverse, target = (ground + target_m) * inverse;
    const Floats top = cover * inverse;
    const Ints seen = (target >= horizon) & (ground > octant::kIsGround_m);
    lanes::store(ring.new_horizon + j, slope > horizon ? slope : horizon);
    Floats met = target < top ? density * 0.5F : zero, before = zero;
#pragma GCC unroll 16
    for (int k = 0; k < kSlopes; ++k) {
      lanes::load(a, ring.depth + k * ring.stride + j);
      lanes::load(b, ring.depth + k * ring.stride + j - 1);
      const Floats depth = rest * a + share * b;
      if (k == 0) {
        met += depth;
      } else {
        Floats above = (target - slopes.at[k - 1]) * slopes.inverse_gap[k - 1];
        above = above > zero ? above : zero;
        above = above < one ? above : one;
        met += (depth - before) * above;
      }
      before = depth;
      lanes::store(ring.new_depth + k * ring.stride + j,
                   depth + (top > slopes.at[k] ? density : zero));
    }
    lanes::store(ring.met + j, seen ? met : hidden);
  }
}

// 0..255 of what lies between; the line is longer than a ring by the secant of its bearing.
LEEWARD_CLONES void values_of(const Ring& ring, std::uint8_t* __restrict out) {
  const float* __restrict met = ring.met;
  const float inverse = ring.inverse, cell_m = ring.cell_m;
  const int count = (ring.count + 15) / 16 * 16;
  for (int j = 0; j < count; ++j) {
    const float share = static_cast<float>(j) * inverse;
    const float length_m = cell_m * std::sqrt(1.0F + share * share);
    const float value = 255.0F * fast_exp(-met[j] * length_m) + 0.5F;
    out[j] = static_cast<std::uint8_t>(static_cast<int>(value));
  }
}
LEEWARD_CLONES void bare_values_of(const Ring& ring, std::uint8_t* __restrict out) {
  const float* __restrict met = ring.met;
  const int count = (ring.count + 15) / 16 * 16;
  for (int j = 0; j < count; ++j) out[j] = met[j] > 0.0F ? 0 : 255;
}

// The slopes at which depth is kept: those of targets in view along a few lines, evenly shared out.
Slopes slopes_in_view(const Octant& o) {
  constexpr int kLines = 7, kTargets = 40;
  std::vector<float> slopes;
  slopes.reserve(kLines * kTargets);
  const float up = static_cast<float>(o.options.target_m) - o.eye_z_m;
  const int nearest = std::max(1, static_cast<int>(kNear_m / static_cast<double>(o.cell_m)));
  const int step = std::max(1, o.rings / kTargets);
  for (int line = 0; line < kLines; ++line) {
    float horizon = kBelow;
    for (int i = nearest; i <= o.rings; i += step) {
      const int j = i * line / (kLines - 1);
      if (j > o.last(i)) break;
      const float z = o.eye[i * o.major + j * o.minor].ground_m + up;
      const float slope = z / static_cast<float>(i);
      if (!(slope >= horizon)) continue;
      slopes.push_back(slope);
      horizon =
          std::max(horizon, slope - static_cast<float>(o.options.target_m) / static_cast<float>(i));
    }
  }
  if (slopes.empty()) slopes.push_back(0);
  std::sort(slopes.begin(), slopes.end());
  Slopes out{};
  const size_t last = slopes.size() - 1;
  for (size_t k = 0; k < kSlopes; ++k) {
    const float at = slopes[k * last / (kSlopes - 1)];
    out.at[k] = k == 0 ? at : std::max(at, out.at[k - 1] + 1e-5F);
  }
  for (size_t k = 0; k + 1 < kSlopes; ++k) out.inverse_gap[k] = 1.0F / (out.at[k + 1] - out.at[k]);
  return out;
}

class SweepOctant {
 public:
  explicit SweepOctant(const Octant& o)
      : o_(o),
        stride_((std::min(o.rings, o.widest) + 1 + 3 * octant::kPad) / octant::kPad * octant::kPad),
        store_(static_cast<size_t>(stride_) * (3 + 2 * kSlopes + 3 * kStrip) + 2 * octant::kPad),
        values_(static_cast<size_t>(stride_) * kStrip) {
    float* next = store_.data() + octant::kPad;
    const auto take = [&](int arrays) {
      float* const from = next;
      next += arrays * stride_;
      return from;
    };
    met_ = take(1);
    for (float*& h : horizon_) {
      h = take(1);
      std::fill(h, h + stride_ - octant::kPad, kBelow);
    }
    for (float*& d : depth_) d = take(kSlopes);
    strip_ = {take(kStrip), take(kStrip), take(kStrip), stride_};
  }

  bool sweep(const std::stop_token& stop) {
    covered_ = octant::cut(o_, 0, 1, strip_) && strip_.top_m[0] > 0;
    if (covered_) {
      slopes_ = slopes_in_view(o_);
      for (int k = 0; k < kSlopes; ++k)  // half a step within the eye's own cover
        std::fill_n(depth_[0] + k * stride_, 2, 0.5F * strip_.density_per_m[0]);
    }
    for (int first = 1; first <= o_.rings; first += kStrip) {
      if (stop.stop_requested()) return false;
      const int end = std::min(first + kStrip, o_.rings + 1);
      if (octant::cut(o_, first, end, strip_) && !covered_) {
        covered_ = true;
        slopes_ = slopes_in_view(o_);
      }
      for (int i = first; i < end; ++i) step(i, first);
      write(first, end);
      if (covered_ && opaque(end - 1)) break;
    }
    return true;
  }

 private:
  void step(int i, int first) {
    const int last = o_.last(i);
    const std::ptrdiff_t at = (i - first) * stride_;
    float *const horizon = horizon_[i & 1], *const depth = depth_[i & 1];
    const Ring ring{strip_.ground_m + at,
                    strip_.top_m + at,
                    strip_.density_per_m + at,
                    horizon_[(i - 1) & 1],
                    horizon,
                    depth_[(i - 1) & 1],
                    depth,
                    stride_,
                    met_,
                    1.0F / static_cast<float>(i),
                    static_cast<float>(o_.options.target_m),
                    o_.cell_m,
                    last + 1};
    std::uint8_t* const values = values_.data() + at;
    if (covered_) {
      covered_ring(ring, slopes_);
      values_of(ring, values);
      for (int k = 0; k < kSlopes; ++k) depth[k * stride_ + last + 1] = depth[k * stride_ + last];
    } else {
      bare_ring(ring);
      bare_values_of(ring, values);
    }
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
        std::reverse_copy(from + from_j, from + past, to - (past - 1));
    }
    if (std::abs(o_.out_minor) != 1) write_turned(first, end);
  }

  // Rings that run across the rows of the result.
  void write_turned(int first, int end) const {
    int lasts[kStrip], widest = 0, narrowest = o_.rings;
    for (int i = first; i < end; ++i) {
      const int last = lasts[i - first] = o_.last_owned(i);
      widest = std::max(widest, last);
      narrowest = std::min(narrowest, last);
    }
    for (int j = o_.first_owned(); j <= widest; ++j) {
      const std::uint8_t* from = values_.data() + j;
      std::uint8_t* to = o_.out_eye + first * o_.out_major + j * o_.out_minor;
      for (int k = 0; k < end - first; ++k)
        if (j <= narrowest || j <= lasts[k]) to[k * o_.out_major] = from[k * stride_];
    }
  }

  // Nothing gets through to any cell of the next ring, at any slope.
  bool opaque(int i) const {
    const float* deepest = depth_[i & 1] + (kSlopes - 1) * stride_;
    const float least = octant::kOpaque / o_.cell_m;
    return std::all_of(deepest, deepest + o_.last(i) + 1, [&](float d) { return d > least; });
  }

  const Octant& o_;
  std::ptrdiff_t stride_;
  std::vector<float> store_;
  std::vector<std::uint8_t> values_;
  float* met_ = nullptr;
  float *horizon_[2], *depth_[2];
  Rings strip_{};
  Slopes slopes_{};
  bool covered_ = false;
};

}  // namespace

Result<Raster<std::uint8_t>> sight_from(const Raster<SightCell>& land, LocalXY eye,
                                        const SightOptions& options, std::stop_token stop) {
  octant::Disc disc = octant::disc_around(land, eye, options);
  if (!disc.known) return std::move(disc.seen);
  const bool done = for_each_index(
      8,
      [&](int k) {
        if (disc.octants[k].rings > 0) SweepOctant(disc.octants[k]).sweep(stop);
      },
      stop);
  if (!done) return fail(ErrorCode::cancelled, "cancelled");
  return std::move(disc.seen);
}

}  // namespace leeward::compute
