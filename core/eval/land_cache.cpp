#include "core/eval/land_cache.h"

#include "core/base/parallel.h"
#include "core/compute/steep_ground.h"

#include <algorithm>

namespace leeward {
namespace {

const Ref<Rows<Feature>>& rows(const Document& d, Kind kind) {
  return d.features[static_cast<size_t>(kind)];
}

enum LandSource { kCover, kBarrier, kLane, kWater };
std::array<FlaggedRows, 4> land_sources(const Document& d, const LandDay& day) {
  return {{{rows(d, Kind::cover), day.cut},
           {rows(d, Kind::barrier), {}},
           {rows(d, Kind::shooting_lane), {}},
           {rows(d, Kind::water), day.walkable}}};
}
enum GraphSource { kRoad, kPath, kWall, kSanctuary, kBoundary, kGate };
std::array<FlaggedRows, 6> graph_sources(const Document& d, const LandDay& day) {
  return {{{rows(d, Kind::road), {}},
           {rows(d, Kind::human_path), {}},
           {rows(d, Kind::barrier), {}},
           {rows(d, Kind::sanctuary), day.open},
           {rows(d, Kind::boundary), {}},
           {rows(d, Kind::gate), {}}}};
}

template <class T>
void copy_layer(const Raster<T>& from, Raster<T>& to, const std::vector<CellBox>& boxes) {
  for (const CellBox& b : boxes)
    for (int r = b.row; r < b.end_row(); ++r)
      std::copy_n(from.row(r) + b.col, b.cols, to.row(r) + b.col);
}
void copy_layer(const compute::SightLand& from, compute::SightLand& to,
                const std::vector<CellBox>& boxes) {
  copy_layer(from.ground_m, to.ground_m, boxes);
  copy_layer(from.top_m, to.top_m, boxes);
  copy_layer(from.density_per_m, to.density_per_m, boxes);
}
void copy_cover(const CoverGrid& from, CoverGrid& to, const std::vector<CellBox>& boxes) {
  copy_layer(from.fine, to.fine, boxes);
}
void copy_land(const AnalysisLand& from, AnalysisLand& to, const std::vector<CellBox>& boxes) {
  copy_layer(from.cells, to.cells, boxes);
  copy_layer(from.noise, to.noise, boxes);
  copy_layer(from.timber, to.timber, boxes);
  copy_layer(from.attenuation, to.attenuation, boxes);
  copy_layer(from.hidden, to.hidden, boxes);
  copy_layer(from.slowness, to.slowness, boxes);
}
bool same_land(const AnalysisLand& a, const AnalysisLand& b, const std::vector<CellBox>& windows) {
  return same_in(a.cells, b.cells, windows) && same_in(a.noise, b.noise, windows) &&
         same_in(a.timber, b.timber, windows) && same_in(a.attenuation, b.attenuation, windows) &&
         same_in(a.hidden, b.hidden, windows) && same_in(a.slowness, b.slowness, windows);
}

template <class T>
void copy_cells(const std::vector<T>& from, std::vector<T>& to, const GridSpec& g,
                const std::vector<CellBox>& boxes) {
  for (const CellBox& b : boxes)
    for (int r = b.row; r < b.end_row(); ++r) {
      const auto at = static_cast<std::ptrdiff_t>(g.index(b.col, r));
      std::copy_n(from.begin() + at, b.cols, to.begin() + at);
    }
}
// Its ground is that of the terrain.
void copy_graph(const compute::WalkGraph& from, compute::WalkGraph& to,
                const std::vector<CellBox>& boxes) {
  copy_cells(from.slowness, to.slowness, from.spec, boxes);
  copy_cells(from.steps, to.steps, from.spec, boxes);
}
bool same_graph(const compute::WalkGraph& a, const compute::WalkGraph& b,
                const std::vector<CellBox>& windows) {
  for (const CellBox& w : windows)
    for (int r = w.row; r < w.end_row(); ++r) {
      const auto at = static_cast<std::ptrdiff_t>(a.spec.index(w.col, r));
      if (!std::equal(a.slowness.begin() + at, a.slowness.begin() + at + w.cols,
                      b.slowness.begin() + at))
        return false;
    }
  return true;
}

// What of the whole grid has changed.
void note_changes(const Ref<CoverGrid>& before, const CoverGrid& now,
                  ChangeLogOf<compute::CoverChange>& log) {
  if (before && before->fine.spec == now.fine.spec)
    log.note(compute::cover_changes(before->fine, now.fine,
                                    differing(before->fine, now.fine, all_bands(now.fine.spec))));
  else
    log.note_all();
}

bool felled(const Feature* f) {
  return f && f->as<BarrierAttrs>().type == BarrierType::felled_trees;
}
double lane_width_m(const FeatureChange& change) {
  const auto of = [](const Feature* f) { return f ? f->as<ShootingLaneAttrs>().width_m : 0; };
  return std::max(of(change.was), of(change.is));
}

}  // namespace

void LandCache::update(const Asked& asked) {
  auto sources = land_sources(asked.document, asked.day);
  if (repairs(asked))
    repair(asked, sources);
  else
    make_all(asked);
  terrain_ = asked.terrain;
  analysis_ = asked.analysis;
  day_ = asked.day;
  sources_ = std::move(sources);
}

bool LandCache::repairs(const Asked& asked) const {
  return cover() && terrain_ == asked.terrain && analysis_ == asked.analysis &&
         day_.leaf_on == asked.day.leaf_on;
}

void LandCache::make_all(const Asked& asked) {
  const Ref<CoverGrid> cover_before = cover();
  const Ref<AnalysisLand> land_before = land();
  auto fine = std::make_unique<CoverGrid>(
      make_cover_grid(asked.document, *asked.terrain, asked.analysis, asked.day, asked.judgement));
  ++cover_runs_;
  note_changes(cover_before, *fine, cover_changes_);
  cover_.put_new(std::move(fine));
  auto made = std::make_unique<AnalysisLand>(
      make_analysis_land(asked.document, *cover(), asked.analysis, asked.day, asked.judgement));
  if (land_before && land_before->cells.spec == made->cells.spec)
    land_changes_.note(differing(land_before->cells, made->cells, all_bands(made->cells.spec)));
  else
    land_changes_.note_all();
  land_.put_new(std::move(made));
  for (Graph& g : graphs_) g.all_stale = true;
}

void LandCache::repair(const Asked& asked, const Sources<4>& sources) {
  CellBands fine(cover()->fine.spec), coarse(asked.analysis);
  for (const FeatureChange& c : changes_between(sources_[kCover], sources[kCover])) {
    add_change(c, 0, fine);
    add_change(c, 0, coarse);
  }
  for (const FeatureChange& c : changes_between(sources_[kBarrier], sources[kBarrier]))
    if (felled(c.was) || felled(c.is)) add_change(c, kBarrierWidth_m / 2, fine);
  for (const FeatureChange& c : changes_between(sources_[kLane], sources[kLane]))
    add_change(c, lane_width_m(c) / 2, fine);
  for (const FeatureChange& c : changes_between(sources_[kWater], sources[kWater]))
    add_change(c, 0, coarse);
  if (!fine.empty()) repair_cover(asked, fine.boxes(), coarse);
  if (!coarse.empty() || day_ != asked.day) repair_land(asked, coarse.boxes());
}

void LandCache::repair_cover(const Asked& asked, const std::vector<CellBox>& windows,
                             CellBands& land) {
  auto fine = cover_.copy(copy_cover);
  burn_cover_grid(asked.document, *asked.terrain, asked.day, asked.judgement, windows, *fine);
  std::vector<CellBox> boxes = differing(cover()->fine, fine->fine, windows);
  if (boxes.empty()) return cover_.give_back(std::move(fine));
  for (const CellBox& b : boxes) land.add(b, fine->fine.spec);
  ++cover_runs_;
  cover_changes_.note(compute::cover_changes(cover()->fine, fine->fine, boxes));
  cover_.put(std::move(fine), std::move(boxes));
}

void LandCache::repair_land(const Asked& asked, const std::vector<CellBox>& windows) {
  auto made = land_.copy(copy_land);
  burn_analysis_land(asked.document, *cover(), asked.day, asked.judgement, windows, *made);
  if (day_ == asked.day && same_land(*land(), *made, windows))
    return land_.give_back(std::move(made));
  std::vector<CellBox> boxes = differing(land()->cells, made->cells, windows);
  if (!boxes.empty()) land_changes_.note(std::move(boxes));
  land_.put(std::move(made), windows);
  for (Graph& g : graphs_)
    for (const CellBox& b : windows) g.stale.add(b);
}

// Whether the graph can be repaired; then its `stale` holds all that may differ.
bool LandCache::find_stale(const Asked& asked, const Sources<6>& sources, Graph& g) const {
  const bool bounded = !sources[kBoundary].rows->empty();
  if (g.all_stale || g.beyond_boundary != asked.document.settings->beyond_boundary ||
      g.sources[kBoundary].rows->empty() == bounded)
    return false;
  const double cell_m = asked.analysis.cell_m;
  const double wall_m = std::max(compute::SteepRules{}.cliff_near_m, kBarrierReach_cells * cell_m);
  const std::array<double, 6> grow_m = {0, 0, wall_m, 0, 0, 2 * cell_m};
  for (size_t k = 0; k < sources.size(); ++k)
    for (const FeatureChange& c : changes_between(g.sources[k], sources[k]))
      add_change(c, grow_m[k], g.stale);
  return true;
}

Ref<compute::WalkGraph> LandCache::graph(const Asked& asked, bool night) {
  Graph& g = graphs_[night ? 1 : 0];
  auto sources = graph_sources(asked.document, asked.day);
  if (!find_stale(asked, sources, g)) {
    g.cells = Raster<compute::WalkCell>(asked.analysis);
    burn_walk_cells(asked.document, *land(), asked.day, night, all_bands(asked.analysis), g.cells);
    g.made.put_new(std::make_unique<compute::WalkGraph>(compute::make_walk_graph(g.cells)));
  } else if (!g.stale.empty()) {
    const std::vector<CellBox> windows = g.stale.boxes();
    burn_walk_cells(asked.document, *land(), asked.day, night, windows, g.cells);
    auto made = g.made.copy(copy_graph);
    compute::remake_walk_graph(g.cells, windows, {}, *made);
    if (sources == g.sources && same_graph(*made, *g.made.now(), windows)) {
      g.made.give_back(std::move(made));
    } else {
      CellBands steps(asked.analysis);  // lead two cells far
      for (const CellBox& w : windows) steps.add(w.grown(2));
      g.made.put(std::move(made), steps.boxes());
    }
  }
  g.stale = CellBands(asked.analysis);
  g.all_stale = false;
  g.sources = std::move(sources);
  g.beyond_boundary = asked.document.settings->beyond_boundary;
  return g.made.now();
}

}  // namespace leeward
