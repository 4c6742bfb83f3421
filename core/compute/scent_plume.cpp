#include "core/compute/scent_plume.h"

#include "core/base/multiversion.h"
#include "core/compute/plume_rays.h"

#include <algorithm>
#include <cassert>
#include <numeric>

namespace leeward::compute {

using namespace plume;

namespace {

constexpr float kLongestStep = 32;  // m; along a ray: 0.2 % from steps of 2 m
constexpr float kAnyMuch = 1e9F;

}  // namespace

Flow Flow::uniform(const GridSpec& spec, LocalXY toward) {
  Flow f{spec, {}};
  f.cells.assign(spec.size(),
                 Cell::of(static_cast<float>(toward.x), static_cast<float>(toward.y), 0));
  return f;
}

Flow::Cell Flow::at(LocalXY p) const {
  const Place place = place_of(*this, p, Run::forward);
  const Located<1> there(place, [&](int, float& x, float& y) {
    x = place.x0;
    y = place.y0;
  });
  const Four v = there.mean(place, 0);
  return {v[0], v[1], v[2], v[3]};
}

namespace plume {

LEEWARD_CLONES static void advance(const Place& p, float at, float step, Rays<kRays>& rays) {
  advance_rays(p, at, step, rays);
}
LEEWARD_CLONES static void look_up(const float* row, float r, float sign, const Rays<kRays>& rays,
                                   Ring<kRays>& out) {
  look_up_rays(row, r, sign, rays, out);
}
LEEWARD_CLONES static void evaluate(const Ring<kRays>& ring, const Circle<kRays>& circle,
                                    float* out) {
  evaluate_rays(ring, circle, out);
}

}  // namespace plume

ScentPlume::ScentPlume(const Flow& flow, const PlumeTable& table, LocalXY source, Run run)
    : source_(source), reach_m_(table.reach_m()), rings_(table.rings()) {
  for (auto* v : {&mean_x_, &mean_y_, &log_peak_, &kappa_, &rest_, &timber_})
    v->resize(static_cast<size_t>(rings_) * kRayRow);
  value_.resize(static_cast<size_t>(rings_) * kRow);
  std::vector<int> all(static_cast<size_t>(rings_));
  std::iota(all.begin(), all.end(), 0);
  Rays<kRays> rays;
  size_t row = 0, drawn = 0;
  trace(place_of(flow, source, run), table, all, kLongestStep, rays,
        [&](float, const Ring<kRays>& met) {
          const auto keep = [&](const float* from, UnsetVector<float>& to) {
            std::memcpy(&to[row], from, kRayRow * sizeof(float));
          };
          keep(met.mean_x, mean_x_);
          keep(met.mean_y, mean_y_);
          keep(met.log_peak, log_peak_);
          keep(met.kappa, kappa_);
          keep(met.rest, rest_);
          keep(met.timber, timber_);
          draw_ring(met, &value_[drawn]);
          row += kRayRow, drawn += kRow;
        });
}

// The values at each of four places and beside it, as two loads fetch them: by twos.
[[gnu::always_inline]] inline void beside(const float* a, const float* b, const float* c,
                                          const float* d, Four& here, Four& next) {
  const auto two = [](const float* p, const float* q) __attribute__((always_inline)) {
    using Pair [[gnu::vector_size(16)]] = long long;
    Pair v;
    std::memcpy(&v, p, 8);
    long long other;
    std::memcpy(&other, q, 8);
    v[1] = other;
    return std::bit_cast<Four>(v);
  };
  const Four ab = two(a, b), cd = two(c, d);
  here = __builtin_shufflevector(ab, cd, 0, 2, 4, 6);
  next = __builtin_shufflevector(ab, cd, 1, 3, 5, 7);
}

LEEWARD_CLONES static void add_cells(const float* __restrict value,
                                     const std::uint16_t* __restrict place,
                                     const float* __restrict outward,
                                     const float* __restrict around, const float* __restrict scale,
                                     int count, float weight, float cap, int row,
                                     float* __restrict out) {
  int c = 0;
  for (; c + 4 <= count; c += 4) {  // compilers gather number by number
    const float* at[4];
    for (int k = 0; k < 4; ++k) at[k] = value + place[c + k];
    Four a, b, far_a, far_b;
    beside(at[0], at[1], at[2], at[3], a, b);
    beside(at[0] + row, at[1] + row, at[2] + row, at[3] + row, far_a, far_b);
    const Four t = four_at(around + c);
    const Four near = a + (b - a) * t, far = far_a + (far_b - far_a) * t;
    const Four v = (near + (far - near) * four_at(outward + c)) * four_at(scale + c);
    const Four sum = four_at(out + c) + weight * (v < cap ? v : Four{} + cap);
    std::memcpy(out + c, &sum, sizeof sum);
  }
  for (; c < count; ++c) {
    const float* at = value + place[c];
    const float near = mix(at[0], at[1], around[c]), far = mix(at[row], at[row + 1], around[c]);
    const float v = mix(near, far, outward[c]) * scale[c];
    out[c] += weight * (v < cap ? v : cap);
  }
}

static void add_all(const UnsetVector<float>& value, const PolarCells& where, float weight,
                    float cap, Raster<float>& field) {
  for (const PolarCells::Span& s : where.spans)
    add_cells(value.data(), &where.place[s.from], &where.outward[s.from], &where.around[s.from],
              &where.scale[s.from], s.count, weight, cap, kRow, &field.cells[s.cell]);
}

void ScentPlume::add_to(Raster<float>& field, const PolarCells& where, float weight,
                        float cap) const {
  assert(where.source == source_ && where.grid == field.spec && where.reach_m <= reach_m_);
  add_all(value_, where, weight, cap, field);
}

std::vector<float> ScentPlume::at(const PolarPlaces& where) const {
  assert(where.source == source_ && where.reach_m <= reach_m_);
  std::vector<float> out(where.place.size());
  add_cells(value_.data(), where.place.data(), where.outward.data(), where.around.data(),
            where.scale.data(), static_cast<int>(out.size()), 1, kAnyMuch, kRow, out.data());
  return out;
}

Raster<float> ScentPlume::field(const GridSpec& grid) const {
  Raster<float> out(grid, 0.0F);
  add_to(out, PolarCells(grid, source_, reach_m_));
  return out;
}

double ScentPlume::at(LocalXY p) const {
  const Placed there(static_cast<float>(p.x - source_.x), static_cast<float>(p.y - source_.y),
                     {static_cast<float>(reach_m_), kLeastDistance, kAngles, kAllRings});
  const float* v = &value_[static_cast<size_t>(there.place)];
  const float near = mix(v[0], v[1], there.around), far = mix(v[kRow], v[kRow + 1], there.around);
  return static_cast<double>(mix(near, far, there.outward) * there.scale);
}

ScentBand ScentPlume::band_at(LocalXY p) const {
  const double dx = p.x - source_.x, dy = p.y - source_.y;
  const double r = std::max(std::hypot(dx, dy), static_cast<double>(kLeastDistance));
  if (r >= reach_m_) return {};
  const int ring =
      std::min(static_cast<int>(std::lround(ring_coordinate(static_cast<float>(r)))), rings_ - 1);
  const int angle = static_cast<int>(std::lround(
      turns_of(static_cast<float>(dy), static_cast<float>(dx)) * static_cast<float>(kAngles)));
  const size_t k = static_cast<size_t>(ring * kRayRow + angle / kPerRay);
  const float t = static_cast<float>(angle % kPerRay) / kPerRay;
  const auto there = [&](const UnsetVector<float>& of) {
    return static_cast<double>(mix(of[k], of[std::min(k + 1, of.size() - 1)], t));
  };
  constexpr double kFourOfFive = 1.2816;  // standard deviations
  static const double open = std::log(1.8), closed = std::log(2.5),
                      swing_cos = std::cos(kFourOfFive * 10 * kRadPerDeg),
                      swing_sin = std::sin(kFourOfFive * 10 * kRadPerDeg);
  const double factor = std::exp(kFourOfFive * (open + (closed - open) * there(timber_)));
  // Cosine of the angle to the mean wind; by the swing nearer to it, at most 0, and farther off.
  const double x = there(mean_x_), y = there(mean_y_);
  const double cosine = std::clamp(
      (x * dx + y * dy) / (std::sqrt((x * x + y * y) * (dx * dx + dy * dy)) + 1e-9), -1.0, 1.0);
  const double sine = std::sqrt(1 - cosine * cosine);
  const double nearer = cosine > swing_cos ? 1 : cosine * swing_cos + sine * swing_sin,
               farther = cosine < -swing_cos ? -1 : cosine * swing_cos - sine * swing_sin;
  const double log_peak = there(log_peak_), kappa = there(kappa_), rest = there(rest_);
  const auto with = [&](double c) {
    return static_cast<double>(fast_exp(static_cast<float>(log_peak + kappa * (c - 1)))) + rest;
  };
  const double middle = with(cosine), v = at(p);
  return {v, v * with(farther) / middle / factor, v * with(nearer) / middle * factor};
}

}  // namespace leeward::compute
