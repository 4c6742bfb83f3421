// Ways between the gates and a stand, and what walking them costs.
#pragma once

#include "core/compute/walk_line.h"
#include "core/compute/walk_times.h"
#include "core/eval/hazard.h"

namespace leeward {

struct GateCell {
  Uid gate;
  std::size_t cell = 0;
  LocalXY at;
};
/// Gates that stand on, or within 20 m of, walkable ground.
std::vector<GateCell> gate_cells(const Document& document, const compute::WalkGraph& graph);

struct WayContext {
  const Document& document;
  const AnalysisLand& land;
  const compute::WalkGraph& graph;
  const Ref<HazardModel>& hazard;
  const std::vector<GateCell>& gates;
  const Judgement& judgement;
  const LandDay& day;
};

/// The line of the cheapest way of a solved field between the gates and a stand. A field without
/// weight has the same in every wind.
struct FieldLine {
  compute::WalkLine line;  ///< No points: there is no way.
  bool weighed = false;    ///< The legs hold their hazard.
  std::size_t gate_cell = 0;
};
/// `inward`: from a gate to the stand.
FieldLine line_of_field(const WayContext& context, const compute::CostField& field, LocalXY stand,
                        bool inward);
/// Walking it; nullptr when there is no way.
Ref<Way> way_along(const WayContext& context, const FieldLine& found);

/// The human path that ends within 30 m of the stand, or nullptr.
Ref<Feature> drawn_path_to(const Document& document, LocalXY stand);
/// Walking a drawn line as it stands, toward the stand or away from it; flags what it must not
/// cross.
Ref<Way> way_as_drawn(const WayContext& context, const Path& line, LocalXY stand, bool inward);

/// What exposes a walk most, largest first, at most three. Worked out when it is asked for: of most
/// ways nobody asks.
std::vector<Reason> reasons_of(const Way& way);

/// Why a stand cannot be reached, in words.
std::string no_way_reason(const WayContext& context, LocalXY stand);

/// The step times of the graph that one side's fields are solved on. They are made where there is
/// leisure, follow the graph from then on, and change no answer. Large properties have none.
class HeldTimes {
 public:
  /// Of the graph; null if none are held and `make` is not asked for.
  const compute::StepTimes* of(const Ref<compute::WalkGraph>& graph, bool toward_starts, bool make);

 private:
  static constexpr std::size_t kMostCells = 600'000;
  Ref<compute::WalkGraph> of_;
  std::unique_ptr<compute::StepTimes> times_;
};

}  // namespace leeward
