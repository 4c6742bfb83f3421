// One evaluation: the snapshot, the cache and what is made on the way. For engine*.cpp alone.
#pragma once

#include "core/eval/engine_cache.h"

#include <atomic>
#include <map>
#include <vector>

namespace leeward {

struct EngineRun {
  const Snapshot& in;
  std::stop_token stop;
  const Progress& progress;

  const Document& doc() const { return *in.document; }
  const FeatureRows& rows(Kind k) const { return in.document->features[static_cast<size_t>(k)]; }
  void step(double share, const char* what) const {
    if (progress) progress(share, what);
  }
};

inline AirKey key_of(const AirNow& a) {
  return {a.from.source().degrees(), a.speed_10m_mps, a.stability_index, a.known};
}

/// The stages, in the order of all(); what a stage makes is read by those after it.
class Evaluation {
 public:
  Evaluation(const EngineRun& run, EngineCache& cache)
      : run_(run), cache_(cache), j_(cache.judgement) {}

  Result<Ref<Results>> all();

 private:
  // The land and the sky (engine.cpp).
  void sun_and_air();
  Status make_land();
  Instant noon_of(Instant at) const;

  // The air (engine_air.cpp).
  // What the wind over the land has of the cover: another object only where it differs.
  Ref<Raster<float>> wind_cover();
  // The winds of the ratios that the land bends: solved, last known, or none.
  Status find_winds(const std::vector<size_t>& ratios);
  AirInputs air_inputs(size_t side) const;
  EngineCache::FlowKey flow_key(size_t side) const;
  Status make_air();
  void make_flows();
  // The plumes of sitters by the height of their scent, which most stands share.
  void make_sitters();
  void look_ahead();
  const AirNow& air_at(size_t side) const { return side == 0 ? results_.air : results_.air_leave; }

  // What a walker risks where (engine_hazards.cpp).
  // What of an area the hazard is made of, by area.
  struct Senses {
    std::vector<Ref<AreaSight>> sight;
    std::vector<Ref<AreaSound>> sound;
    std::array<std::vector<Ref<AreaScent>>, 2> scent;
    explicit Senses(size_t count) : sight(count), sound(count) {
      for (auto& side : scent) side.resize(count);
    }
  };
  // Of one area; false if it was cancelled.
  bool make_senses(const DeerArea& a, size_t at, Senses& out);
  EngineCache::GapKey gap_key() const;
  // How many deer pass each gap, into the cache: one thread's work for some milliseconds.
  Status count_gaps();
  // The gaps that deer pass, as they were last known where they are due for a new count: a quick
  // answer leaves it at that, a full one counts them beside its fields.
  Status find_gaps();
  Status make_hazards();
  /// Of each area the occupancy on the way in or out, and the traffic over its ground scent.
  std::vector<double> occupancies_of(size_t side, const std::vector<DeerArea>& areas) const;
  Ref<std::vector<DeerArea>> areas_with_deer(size_t side, const Ref<std::vector<DeerArea>>& areas,
                                             const std::vector<double>& occupancies);
  /// Ground scent of the way in is met during the sit, that of the way out in the hour after it.
  Instant ground_scent_until(size_t side) const;

  // Ways (engine_ways.cpp).
  struct FieldTask {
    size_t side, trade;
    bool held;
    EngineCache::FieldKey key;
  };
  // In a quick answer, of the chosen trade and what is held.
  std::vector<FieldTask> fields_asked();
  void solve_field(const FieldTask& task, const compute::StepTimes* times, int shares);
  Status solve_fields();
  WayContext way_context(size_t side) const;
  /// `side` 0: in, 1: out. nullptr: no way, the field was cancelled, or a quick answer leaves out
  /// what is not of the chosen trade.
  Ref<Way> way_of(const Feature& f, StandCache& cache, size_t side, size_t trade);
  // After the ways of all: who is where on the same sit.
  void add_sitters();
  /// Lines of few legs cost up to a hundredth more than what they stand for, so that one trade's
  /// line may serve another better; each takes the best of all. A careful way is then never quicker
  /// nor more exposed than a quick one.
  void best_of_all(std::array<Ref<Way>, kTradeCount>& ways) const;
  void add_ways(const Feature& f, LocalXY at, StandCache& cache, StandResult& out);

  // Stands (engine_stands.cpp).
  // A cache for each of those that there are.
  void hold_stands();
  Status make_stands();
  SightKey sight_key(const Feature& f, StandCache& cache) const;
  // Whether it was of the same eye, so that only lines over changed ground have to be walked again.
  bool same_eye(const StandCache& cache, const SightMemo& of, const SightKey& key) const;
  std::vector<compute::CoverChange> changes_since(const StandCache& cache,
                                                  const SightMemo& of) const;
  // A quick answer takes the quick pass where as much would have to be walked again as that takes.
  bool walks_again(const StandCache& cache, const SightKey& key) const;
  Result<Ref<Raster<std::uint8_t>>> sight_of(const Feature& f, StandCache& cache);
  Ref<compute::ScentPlume> scent_of(const Feature& f, StandCache& cache);
  Ref<std::vector<ScentOn>> scent_on_of(const Ref<compute::ScentPlume>& scent, StandCache& cache);
  SwingMargin margin_of(const Feature& f, StandCache& cache,
                        const Ref<std::vector<ScentOn>>& scent_on);
  std::optional<Instant> drains_of(const Feature& f, StandCache& cache);
  Ref<std::vector<TrailMeeting>> meetings_of(const Feature& f, StandCache& cache,
                                             const Ref<compute::ScentPlume>& scent,
                                             const Ref<Raster<std::uint8_t>>& sight);
  Ref<std::vector<InReach>> in_reach_of(const Ref<Feature>& f, StandCache& cache,
                                        const Ref<Raster<std::uint8_t>>& sight);
  // What of add_air() rests neither on sight nor on ways, into the cache.
  void find_air(const Feature& f, StandCache& cache);
  // What the air does at a stand and what that means for the sit.
  void add_air(const Feature& f, const Ref<compute::ScentPlume>& scent,
               const Ref<std::vector<ScentOn>>& scent_on, StandCache& cache, StandResult& out);
  StandResult make_stand(const Ref<Feature>& stand_row, StandCache& cache);
  void add_fire(const Feature& f, StandCache& cache, const Rows<Weapon>& weapons, StandResult& out);
  // Not in a quick answer: the horizon is followed to the edge of the land.
  void add_light(const Ref<Feature>& f, StandCache& cache, StandResult& out);
  double scent_height(const Feature& stand) const {
    return stand.as<StandAttrs>().platform_m + j_.sitter_above_platform_m;
  }
  static ChangeLog::Number last_right(const StandCache& cache, const SightMemo& of) {
    return ChangeLog::right_until(cache.cover, std::get<0>(*of.key()));
  }

  const EngineRun& run_;
  EngineCache& cache_;
  const Judgement& j_;
  Results results_;
  std::atomic<bool> ways_left_out_ = false;  // by any of the pool's threads
  SunDay leave_day_;
  LandDay day_;
  Ref<compute::SunMinutes> sun_minutes_;
  GridSpec grid_;
  Ref<CoverGrid> cover_;
  Ref<AnalysisLand> land_;
  std::array<SunNow, 2> hour_before_;
  Ref<AreaCells> area_cells_;
  Ref<std::vector<LocalXY>> area_centres_;
  Ref<TrailPlaces> trail_places_;
  Ref<AirGround> air_ground_;
  Ref<AirCover> air_cover_;
  LandTurns turn_;
  std::array<Ref<compute::SlopeAir>, 2> slope_;  // null: none
  std::array<std::array<Ref<compute::WindResponse>, kCarryHeights_m.size()>, 2> response_;
  std::array<std::array<Ref<compute::Flow>, kCarryHeights_m.size()>, 2> flow_;
  std::array<Ref<compute::PlumeTable>, 2> walker_;
  Ref<std::vector<GapUse>> gaps_;
  bool gaps_due_ = false;
  std::map<double, Ref<compute::PlumeTable>> sitters_;  // by scent height
  Ref<SkyAhead> sky_ahead_;
  std::array<Ref<compute::WalkGraph>, 2> graph_;  // in, out
  std::array<std::vector<GateCell>, 2> gates_;
  std::array<Ref<std::vector<DeerArea>>, 2> deer_;  // with occupancy
  std::array<Ref<HazardModel>, 2> hazard_;
  std::array<std::array<Ref<compute::CostField>, kTradeCount>, 2> field_;
};

}  // namespace leeward
