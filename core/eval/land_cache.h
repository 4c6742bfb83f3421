// LandCache: the land of one evaluation after another. Of a grid only those cells are made anew
// that what was edited may change; the answer is that of the whole, to the last bit.
#pragma once

#include "core/eval/change_log.h"
#include "core/eval/feature_changes.h"
#include "core/eval/land.h"
#include "core/eval/recycled.h"

#include <array>

namespace leeward {

class LandCache {
 public:
  /// `terrain`, the judgement and what the document holds are read as they are; the judgement is
  /// the same in all calls.
  struct Asked {
    const Document& document;
    Ref<Terrain> terrain;
    GridSpec analysis;
    LandDay day;
    const Judgement& judgement;
  };

  void update(const Asked& asked);
  /// Of the last update; the same objects as before where nothing differs. With another day the
  /// land is another object, for ways read the day beside it.
  const Ref<CoverGrid>& cover() const { return cover_.now(); }
  const Ref<AnalysisLand>& land() const { return land_.now(); }
  /// The same object where nothing differs and no source of its own was edited (ways name gates).
  /// REQUIRES: update() with the same question.
  Ref<compute::WalkGraph> graph(const Asked& asked, bool night);

  /// In cells of cover()->fine, and of land()->cells.
  const ChangeLogOf<compute::CoverChange>& cover_changes() const { return cover_changes_; }
  const ChangeLog& land_changes() const { return land_changes_; }
  int cover_runs() const { return cover_runs_; }

 private:
  // The features that a grid rests on, by kind.
  template <std::size_t kKinds>
  using Sources = std::array<FlaggedRows, kKinds>;
  struct Graph {
    Recycled<compute::WalkGraph> made;
    Raster<compute::WalkCell> cells;
    CellBands stale;  // of the land since
    bool all_stale = true;
    Sources<6> sources;
    bool beyond_boundary = false;
  };

  bool repairs(const Asked& asked) const;
  void make_all(const Asked& asked);
  void repair(const Asked& asked, const Sources<4>& sources);
  void repair_cover(const Asked& asked, const std::vector<CellBox>& windows, CellBands& land);
  void repair_land(const Asked& asked, const std::vector<CellBox>& windows);
  bool find_stale(const Asked& asked, const Sources<6>& sources, Graph& graph) const;

  Ref<Terrain> terrain_;
  GridSpec analysis_;
  LandDay day_;
  Sources<4> sources_;
  Recycled<CoverGrid> cover_;
  Recycled<AnalysisLand> land_;
  ChangeLogOf<compute::CoverChange> cover_changes_;
  ChangeLog land_changes_;
  int cover_runs_ = 0;
  std::array<Graph, 2> graphs_;  // by day, by night
};

}  // namespace leeward
