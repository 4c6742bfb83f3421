// The fine grid of ground and cover.
#include "core/base/parallel.h"
#include "core/eval/burn.h"
#include "core/eval/land.h"

#include <algorithm>
#include <cmath>
#include <functional>

namespace leeward {
namespace {

using compute::SightLand;

// What lies over the ground, from the first that is burned to the last.
class Layers {
 public:
  Layers(const Document& document, const Terrain& terrain, const LandDay& day, const Judgement& j,
         const GridSpec& g, const std::vector<CellBox>& windows)
      : terrain_(terrain),
        has_canopy_(terrain.canopy_m.spec == g && !terrain.canopy_m.empty()),
        canopy_density_(
            static_cast<float>(day.leaf_on ? j.default_leaf_on_per_m : j.default_leaf_off_per_m)) {
    const auto touched = [&](const Box& box, double grow_m) {
      return std::any_of(windows.begin(), windows.end(),
                         [&](const CellBox& w) { return burn::near(box, grow_m, g, w); });
    };
    const auto& covers = document.of(Kind::cover);
    for (size_t i = 0; i < covers.size(); ++i)
      if (touched(bounds(covers[i]->shape), 0))
        add_cover(covers[i]->shape, covers[i]->as<CoverAttrs>(), burn::flagged(day.cut, i),
                  day.leaf_on);
    const auto add_strip = [&](const Path& line, double width_m, const Burn& fn) {
      if (!touched(bounds(Shape::line(line)), width_m / 2)) return;
      const auto strip = buffered(Shape::line(line), width_m / 2);
      if (!strip) return;
      for (const Shape& s : *strip) all_.push_back({s, fn});
    };
    const auto density = static_cast<float>(j.barrier_density_per_m);
    for (const auto& f : document.of(Kind::barrier)) {
      const auto& b = f->as<BarrierAttrs>();
      if (b.type != BarrierType::felled_trees) continue;
      const double height_m = b.height_m;
      for (const Path& piece : barrier_pieces(f->shape.path(), b.gaps))
        add_strip(piece, kBarrierWidth_m,
                  [height_m, density](const SightLand::CellRef& cell, int, int) {
                    if (static_cast<double>(cell.top_m) < 1.2 * height_m)
                      cell.top_m = static_cast<float>(height_m);
                    cell.density_per_m = std::max(cell.density_per_m, density);
                  });
    }
    for (const auto& f : document.of(Kind::shooting_lane))
      add_strip(f->shape.path(), f->as<ShootingLaneAttrs>().width_m,
                [](const SightLand::CellRef& cell, int, int) { cell.density_per_m = 0; });
  }

  void burn_into(const CellBox& window, SightLand& out) const {
    const bool has_ground = !terrain_.ground.empty();
    for (int row = window.row; row < window.end_row(); ++row) {
      for (int c = window.col; c < window.end_col(); ++c) {
        const float top = has_canopy_ ? terrain_.canopy_m.row(row)[c] : 0.0F;
        const bool covered = top > 2;
        out.at(c, row) = {has_ground ? terrain_.ground.row(row)[c] : 0.0F, covered ? top : 0,
                          covered ? canopy_density_ : 0};
      }
    }
    for (const Layer& l : all_) burn_layer(l, window, out);
  }

 private:
  using Burn = std::function<void(const SightLand::CellRef&, int, int)>;
  struct Layer {
    Shape area;
    Burn fn;
  };
  static void burn_layer(const Layer& layer, const CellBox& window, SightLand& out) {
    for_each_span_in(layer.area, out.spec, window, [&](int row, int first, int last) {
      for (int c = first; c <= last; ++c) layer.fn(out.at(c, row), c, row);
    });
  }

  void add_cover(const Shape& area, const CoverAttrs& a, bool cut, bool leaf_on) {
    if (cut) {
      all_.push_back({area, [](const SightLand::CellRef& cell, int, int) {
                        cell.top_m = cell.density_per_m = 0;
                      }});
      return;
    }
    const auto height = static_cast<float>(a.height_m);
    const auto density = static_cast<float>(leaf_on ? a.leaf_on_per_m : a.leaf_off_per_m);
    all_.push_back({area, [this, height, density](const SightLand::CellRef& cell, int c, int r) {
                      const float known = has_canopy_ ? terrain_.canopy_m.at(c, r) : kUnknown;
                      cell.top_m = std::isnan(known) || known <= 2 ? height : known;
                      cell.density_per_m = density;
                    }});
  }

  const Terrain& terrain_;
  bool has_canopy_;
  float canopy_density_;
  std::vector<Layer> all_;
};

}  // namespace

void burn_cover_grid(const Document& document, const Terrain& terrain, const LandDay& day,
                     const Judgement& j, const std::vector<CellBox>& windows, CoverGrid& out) {
  const Layers layers(document, terrain, day, j, out.fine.spec, windows);
  for_each_index(static_cast<int>(windows.size()),
                 [&](int i) { layers.burn_into(windows[static_cast<size_t>(i)], out.fine); });
}

CoverGrid make_cover_grid(const Document& document, const Terrain& terrain,
                          const GridSpec& analysis, const LandDay& day, const Judgement& j) {
  GridSpec g = terrain.ground.spec;
  if (terrain.ground.empty())
    g = GridSpec::covering(analysis.box(), std::max(2.0, analysis.cell_m / 2));
  CoverGrid out{SightLand(g)};
  burn_cover_grid(document, terrain, day, j, all_bands(g), out);
  return out;
}

}  // namespace leeward
