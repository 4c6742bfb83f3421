// Where places stand around the source of a plume.
#include "core/base/multiversion.h"
#include "core/compute/plume_parts.h"

#include <algorithm>

namespace leeward::compute {

using namespace plume;

// Where `n` places stand: place c lies dx(c), dy(c) from the source.
template <class Dx, class Dy>
[[gnu::always_inline]] inline void place_all(PolarPlaces& to, size_t first, int n,
                                             const Drawn& drawn, Dx dx, Dy dy) {
  const Drawn d = drawn;
  std::uint16_t* __restrict place = &to.place[first];
  float* __restrict outward = &to.outward[first], * __restrict around = &to.around[first], * __restrict scale = &to.scale[first];
  for (int c = 0; c < n; ++c) {
    const Placed at(dx(c), dy(c), d);
    place[c] = static_cast<std::uint16_t>(at.place);
    outward[c] = at.outward;
    around[c] = at.around;
    scale[c] = at.scale;
  }
}
// The cells of a row from `dx0`, `dy` from the source on.
LEEWARD_CLONES static void place_cells(PolarPlaces& to, size_t first, int n, float dx0, float cell,
                                       float dy, const Drawn& drawn) {
  place_all(
      to, first, n, drawn,
      [=](int c) __attribute__((always_inline)) { return dx0 + cell * static_cast<float>(c); },
      [=](int) __attribute__((always_inline)) { return dy; });
}
LEEWARD_CLONES static void place_points(PolarPlaces& to, int n, const float* __restrict dx,
                                        const float* __restrict dy, const Drawn& drawn) {
  place_all(
      to, 0, n, drawn, [=](int c) __attribute__((always_inline)) { return dx[c]; },
      [=](int c) __attribute__((always_inline)) { return dy[c]; });
}

static Drawn drawn_of(const PolarPlaces& p) {
  return {static_cast<float>(p.reach_m), kLeastDistance, kAngles, kAllRings};
}

PolarPlaces::PolarPlaces(LocalXY at, double reach) : source(at), reach_m(reach) {}

void PolarPlaces::resize(size_t count) {
  place.resize(count);
  for (auto* v : {&outward, &around, &scale}) v->resize(count);
}

PolarPlaces::PolarPlaces(const std::vector<LocalXY>& places, LocalXY at, double reach)
    : PolarPlaces(at, reach) {
  resize(places.size());
  if (places.empty()) return;
  std::vector<float> dx, dy;
  for (const LocalXY p : places) {
    dx.push_back(static_cast<float>(p.x - at.x));
    dy.push_back(static_cast<float>(p.y - at.y));
  }
  place_points(*this, static_cast<int>(places.size()), dx.data(), dy.data(), drawn_of(*this));
}

PolarCells::PolarCells(const GridSpec& spec, LocalXY at, double reach)
    : PolarPlaces(at, reach), grid(spec) {
  size_t total = 0;
  plume::each_row_within(spec, at, reach_m, [&](int row, int c0, int c1) {
    const int count = std::min((c1 - c0 + 3) / 4 * 4, spec.cols - c0);  // beyond the reach: 0
    spans.push_back({spec.index(c0, row), total, count});
    total += static_cast<size_t>(count);
  });
  resize(total);
  const Drawn drawn = drawn_of(*this);
  for (const Span& s : spans) {
    const LocalXY first = spec.centre(static_cast<int>(s.cell % static_cast<size_t>(spec.cols)),
                                      static_cast<int>(s.cell / static_cast<size_t>(spec.cols)));
    place_cells(*this, s.from, s.count, static_cast<float>(first.x - at.x),
                static_cast<float>(spec.cell_m), static_cast<float>(first.y - at.y), drawn);
  }
}

}  // namespace leeward::compute
