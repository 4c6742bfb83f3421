#include "core/compute/patch_plume.h"

#include "core/base/multiversion.h"
#include "core/compute/plume_rays.h"

#include <algorithm>
#include <cassert>

namespace leeward::compute {
namespace plume {

constexpr int kNearRays = kFewRays / 2;

// The ring as a patch `square` = (sd / distance)^2 wide is seen on it: the angle that the patch
// takes up joins the spread in quadrature (1 / kappa is its square), and the peak falls as a von
// Mises density does, whose square is p(kappa) / 2 pi to 5 %,
//   p(k) = k + 0.16 - 0.5 k / (k + 0.45) = ((k + 0.16) (k + 0.45) - 0.5 k) / (k + 0.45).
// With k = kappa / d, d = 1 + square * kappa, p(k) / p(kappa) is one quotient.
template <int N>
[[gnu::always_inline]] inline void widen_rays(Ring<N>& ring, float square) {
  const auto above = [](float kappa, float d) __attribute__((always_inline)) {
    return (kappa + 0.16F * d) * (kappa + 0.45F * d) - 0.5F * kappa * d;
  };
  for (int k = 0; k < N; ++k) {
    const float kappa = ring.kappa[k], d = 1 + square * kappa;
    const float falls =
        above(kappa, d) * (kappa + 0.45F) / (above(kappa, 1) * (kappa + 0.45F * d) * d);
    ring.kappa[k] = kappa / d;
    ring.log_peak[k] += 0.34657359F * fast_log2(falls);
  }
  ring.kappa[N] = ring.kappa[0];
  ring.log_peak[N] = ring.log_peak[0];
}

LEEWARD_CLONES static void advance(const Place& p, float at, float step, Rays<kFewRays>& rays) {
  advance_rays(p, at, step, rays);
}
LEEWARD_CLONES static void look_up(const float* row, float r, float sign,
                                   const Rays<kFewRays>& rays, Ring<kFewRays>& out) {
  look_up_rays(row, r, sign, rays, out);
}
LEEWARD_CLONES static void evaluate(const Ring<kFewRays>& ring, const Circle<kFewRays>& circle,
                                    float* out) {
  evaluate_rays(ring, circle, out);
}
LEEWARD_CLONES static void widen(Ring<kFewRays>& ring, float square) { widen_rays(ring, square); }
// Near the patch half of the rays.
LEEWARD_CLONES static void advance(const Place& p, float at, float step, Rays<kNearRays>& rays) {
  advance_rays(p, at, step, rays);
}
LEEWARD_CLONES static void look_up(const float* row, float r, float sign,
                                   const Rays<kNearRays>& rays, Ring<kNearRays>& out) {
  look_up_rays(row, r, sign, rays, out);
}
LEEWARD_CLONES static void widen(Ring<kNearRays>& ring, float square, Ring<kFewRays>& out) {
  widen_rays(ring, square);
  double_ring(ring, out);
}

}  // namespace plume

using namespace plume;

namespace {

constexpr int kFewRow = row_of(kFewAngles);
constexpr int kNearRings = 12;      // of the table: 71 m
constexpr float kLongestStep = 60;  // m; along a ray

// Side by side what both rings hold.
LEEWARD_CLONES void pair_up(const float* __restrict ring, const float* __restrict next,
                            float* __restrict out) {
  for (int k = 0; k < kFewRow; ++k) {
    out[2 * k] = ring[k];
    out[2 * k + 1] = next[k];
  }
}

// The bits of a float near `value` whose low half is `low`.
[[gnu::always_inline]] inline std::uint32_t with_low_half(float value, std::uint32_t low) {
  return ((std::bit_cast<std::uint32_t>(value) - low + 0x8000U) & 0xFFFF0000U) | low;
}

// One row of cells, the first (dx, dy) from the middle.
struct PlacedRow {
  float dx, dy, cell;
  Drawn drawn;
  PatchCells::Fade::Part part;
  float fade_from, per_fade;
};
LEEWARD_CLONES void place_row(const PlacedRow& row, int count, std::uint32_t* __restrict outward,
                              std::uint32_t* __restrict scale) {
  constexpr float kLeast = 1e-6F;  // above what a low half alone is
  const PlacedRow r = row;
  const bool whole = r.part == PatchCells::Fade::Part::whole,
             near = r.part == PatchCells::Fade::Part::near;
  for (int c = 0; c < count; ++c) {
    const Placed at(r.dx + r.cell * static_cast<float>(c), r.dy, r.drawn);
    float share = (1 / (std::sqrt(at.scale) + 1e-20F) - r.fade_from) * r.per_fade;
    share = share < 0 ? 0 : share > 1 ? 1 : share;
    const float far = share * share * (3 - 2 * share);
    const float left = at.scale * (whole ? 1 : near ? 1 - far : far);
    const std::uint32_t around = with_low_half(at.around, 0) >> 16;
    outward[c] = with_low_half(at.outward < kLeast ? kLeast : at.outward,
                               static_cast<std::uint32_t>(2 * at.place));
    scale[c] = left > 1e-30F ? with_low_half(left, around) : 0;
  }
}

// Eight cells of a row: what they add.
using EightInts [[gnu::vector_size(32)]] = std::uint32_t;
constexpr int kLot = 8;
[[gnu::always_inline]] inline void lot_of(const float* pairs, const std::uint32_t* outward,
                                          const std::uint32_t* scale, float cap, Eight& out) {
  // Here and a ring out, then both beside it: four numbers of the cells k and k + 4.
  const auto four = [&](int k) __attribute__((always_inline)) {
    return four_at(pairs + static_cast<std::uint16_t>(outward[k]));
  };
  Eight at[4];
  for (int k = 0; k < 4; ++k)
    at[k] = __builtin_shufflevector(four(k), four(k + 4), 0, 1, 2, 3, 4, 5, 6, 7);
  Eight here[2], beside[2];
  for (int k = 0; k < 2; ++k) {
    const Eight a = at[2 * k], b = at[2 * k + 1];
    here[k] = __builtin_shufflevector(a, b, 0, 8, 1, 9, 4, 12, 5, 13);
    beside[k] = __builtin_shufflevector(a, b, 2, 10, 3, 11, 6, 14, 7, 15);
  }
  Eight to_next, left, around;
  EightInts bits;
  std::memcpy(&to_next, outward, sizeof to_next);
  std::memcpy(&left, scale, sizeof left);
  std::memcpy(&bits, scale, sizeof bits);
  bits <<= 16;
  std::memcpy(&around, &bits, sizeof around);
  Eight ring[2];
  ring[0] = __builtin_shufflevector(here[0], here[1], 0, 1, 8, 9, 4, 5, 12, 13);
  ring[1] = __builtin_shufflevector(here[0], here[1], 2, 3, 10, 11, 6, 7, 14, 15);
  const Eight aside = __builtin_shufflevector(beside[0], beside[1], 0, 1, 8, 9, 4, 5, 12, 13),
              far_aside = __builtin_shufflevector(beside[0], beside[1], 2, 3, 10, 11, 6, 7, 14, 15);
  ring[0] += (aside - ring[0]) * around;
  ring[1] += (far_aside - ring[1]) * around;
  const Eight v = (ring[0] + (ring[1] - ring[0]) * to_next) * left, most = Eight{} + cap;
  out = v < most ? v : most;
}

// Plumes that are added at once, and rows of fields that they are added to.
template <int N>
struct Added {
  const float* pairs[N];
  float* out[N];
  float weight, cap;
};
// `count` cells of a row; the last lot is read whole.
template <int N>
[[gnu::always_inline]] inline void add_rows(const Added<N>& to, const std::uint32_t* outward,
                                            const std::uint32_t* scale, int count) {
  const Added<N> t = to;
  Eight more, sum;
  int c = 0;
  for (; c + kLot <= count; c += kLot)
    for (int n = 0; n < N; ++n) {
      lot_of(t.pairs[n], outward + c, scale + c, t.cap, more);
      std::memcpy(&sum, t.out[n] + c, sizeof sum);
      sum += t.weight * more;
      std::memcpy(t.out[n] + c, &sum, sizeof sum);
    }
  if (c == count) return;
  for (int n = 0; n < N; ++n) {
    lot_of(t.pairs[n], outward + c, scale + c, t.cap, more);
    more *= t.weight;
    for (int k = 0; c + k < count; ++k) t.out[n][c + k] += more[k];
  }
}
LEEWARD_CLONES void add_cells(const Added<1>& to, const std::uint32_t* outward,
                              const std::uint32_t* scale, int count) {
  add_rows(to, outward, scale, count);
}
LEEWARD_CLONES void add_cells(const Added<2>& to, const std::uint32_t* outward,
                              const std::uint32_t* scale, int count) {
  add_rows(to, outward, scale, count);
}

}  // namespace

PatchCells::PatchCells(const GridSpec& spec, LocalXY at, double sd, double reach, const Fade& fade)
    : grid(spec), middle(at), sd_m(sd), reach_m(reach) {
  size_t total = 0;
  plume::each_row_within(spec, at, reach_m, [&](int row, int c0, int c1) {
    // In whole lots where the grid is wide enough; beyond the reach nothing is added.
    const int count = std::min((c1 - c0 + kLot - 1) / kLot * kLot, spec.cols),
              begin = std::min(c0, spec.cols - count);
    spans.push_back({spec.index(begin, row), total, count});
    total += static_cast<size_t>(count);
  });
  for (auto* v : {&outward, &scale}) v->resize(total + kLot - 1);  // the last lot is read whole
  const double nearest = std::max(static_cast<double>(kLeastDistance), kNearestInPatch * sd);
  PlacedRow placed{
      0,
      0,
      static_cast<float>(spec.cell_m),
      {static_cast<float>(reach), static_cast<float>(nearest), kFewAngles, kPatchRings},
      fade.part,
      static_cast<float>(fade.from_m),
      static_cast<float>(1 / (fade.to_m - fade.from_m))};
  for (const Span& s : spans) {
    const LocalXY first = spec.centre(static_cast<int>(s.cell % static_cast<size_t>(spec.cols)),
                                      static_cast<int>(s.cell / static_cast<size_t>(spec.cols)));
    placed.dx = static_cast<float>(first.x - at.x), placed.dy = static_cast<float>(first.y - at.y);
    place_row(placed, s.count, &outward[s.from], &scale[s.from]);
  }
}

PatchPlume::PatchPlume(const Flow& flow, const PlumeTable& table, LocalXY middle, double sd)
    : middle_(middle), sd_m_(sd), reach_m_(table.reach_m()) {
  // No cell of PatchCells stands inside the first.
  const float nearest = std::max(kLeastDistance, static_cast<float>(kNearestInPatch * sd));
  const size_t first = static_cast<size_t>(kPatchRings.of(ring_coordinate(nearest)));
  std::vector<int> rings;
  size_t near = 0;
  for (int n = static_cast<int>(first); kPatchRings.table_ring(n) < table.rings(); ++n) {
    rings.push_back(kPatchRings.table_ring(n));
    if (rings.back() <= kNearRings) near = rings.size();
  }
  pairs_.resize((first + rings.size()) * 2 * kFewRow);
  alignas(64) std::array<std::array<float, kFewRow>, 2> drawn;
  size_t n = 0;
  const auto draw = [&](const Ring<kFewRays>& met) {
    draw_ring(met, drawn[n % 2].data());
    if (n > 0)
      pair_up(drawn[(n - 1) % 2].data(), drawn[n % 2].data(),
              &pairs_[(first + n - 1) * 2 * kFewRow]);
    ++n;
  };
  const auto square = [&](float r) { return static_cast<float>(sd * sd) / (r * r); };
  const Place place = place_of(flow, middle, Run::backward);
  const std::span<const int> all(rings);
  Rays<kNearRays> few;
  Rays<kFewRays> rays;
  Ring<kFewRays> doubled;
  trace(place, table, all.first(near), kLongestStep, few, [&](float r, Ring<kNearRays>& met) {
    widen(met, square(r), doubled);
    draw(doubled);
  });
  double_rays(few, rays);
  trace(place, table, all.subspan(near), kLongestStep, rays, [&](float r, Ring<kFewRays>& met) {
    widen(met, square(r));
    draw(met);
  });
}

bool PatchPlume::fits(const PatchCells& where, const Raster<float>& field) const {
  return where.middle == middle_ && where.grid == field.spec && where.reach_m <= reach_m_ &&
         where.sd_m <= sd_m_ && where.sd_m >= sd_m_;
}

void PatchPlume::add_to(Raster<float>& field, const PatchCells& where, float weight,
                        float cap) const {
  assert(fits(where, field));
  for (const PatchCells::Span& s : where.spans)
    add_cells(Added<1>{{pairs_.data()}, {&field.cells[s.cell]}, weight, cap},
              &where.outward[s.from], &where.scale[s.from], s.count);
}

void PatchPlume::add_both(const Pair& plumes, const Fields& fields, const PatchCells& where,
                          float weight, float cap) {
  assert(plumes[0]->fits(where, *fields[0]) && plumes[1]->fits(where, *fields[1]));
  for (const PatchCells::Span& s : where.spans)
    add_cells(Added<2>{{plumes[0]->pairs_.data(), plumes[1]->pairs_.data()},
                       {&fields[0]->cells[s.cell], &fields[1]->cells[s.cell]},
                       weight,
                       cap},
              &where.outward[s.from], &where.scale[s.from], s.count);
}

}  // namespace leeward::compute
