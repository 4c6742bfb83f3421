#include "core/compute/sight_beam.h"

#include "core/base/multiversion.h"

namespace leeward::compute::octant {

using lanes::Floats;
using lanes::Ints;
using lanes::kLanes;

LEEWARD_CLONES void meet_ground(Beam& beam, const float* ground_m, std::ptrdiff_t stride, int first,
                                int end) {
  Floats aside, rise;
  lanes::load(aside, beam.aside);
  lanes::load(rise, beam.rise_m);
  Ints hidden;
  lanes::load(hidden, beam.hidden);
  const float least_aside = beam.aside[0];
  for (int s = first; s < end; ++s) {
    const float ring = static_cast<float>(s);
    const int from = static_cast<int>(ring * least_aside);
    const Floats off = aside * ring - static_cast<float>(from);
    const Ints whole = __builtin_convertvector(off, Ints);
    const Floats part = off - __builtin_convertvector(whole, Floats);
    Floats a, b;
    const float* at = ground_m + s * stride + from;
    lanes::load(a, at);
    lanes::load(b, at + 1);
    a = __builtin_shuffle(a, whole);
    b = __builtin_shuffle(b, whole);
    const Floats ground = a + (b - a) * part;
    hidden |= ground > rise * ring;
  }
  lanes::store(beam.hidden, hidden);
}

LEEWARD_CLONES void meet_cover(Beam& beam, const float* top_m, const float* density_per_m,
                               std::ptrdiff_t stride, float half, int first, int end) {
  Floats aside, rise, depth, step;
  lanes::load(aside, beam.aside);
  lanes::load(rise, beam.rise_m);
  lanes::load(depth, beam.depth);
  lanes::load(step, beam.step_m);
  Floats sum = depth * 0.0F;
  const float least_aside = beam.aside[0];
  for (int s = first; s < end; ++s) {
    const float ring = static_cast<float>(s);
    const int from = static_cast<int>(ring * least_aside + half);
    const Floats off = (aside * ring + half) - static_cast<float>(from);
    const Ints whole = __builtin_convertvector(off, Ints);
    Floats top, density;
    const std::ptrdiff_t at = s * stride + from;
    lanes::load(top, top_m + at);
    lanes::load(density, density_per_m + at);
    top = __builtin_shuffle(top, whole);
    density = __builtin_shuffle(density, whole);
    sum += top > rise * ring ? density : density * 0.0F;
  }
  lanes::store(beam.depth, depth + sum * step);
}

}  // namespace leeward::compute::octant
