// What the engine keeps from one evaluation to the next: a Memo for each stage; its key names all
// that the stage reads.
#pragma once

#include "core/eval/air.h"
#include "core/eval/engine.h"
#include "core/eval/engine_checks.h"
#include "core/eval/land_cache.h"
#include "core/eval/memo.h"
#include "core/eval/stand_air.h"
#include "core/eval/stand_eval.h"
#include "core/eval/walker_sight.h"
#include "core/eval/ways.h"

#include <array>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <tuple>
#include <vector>

namespace leeward {

using FeatureRows = Ref<Rows<Feature>>;

// What of an hour's air goes into a flow.
struct AirKey {
  double from_deg, speed_mps, stability;
  bool known;
  friend bool operator==(const AirKey&, const AirKey&) = default;
};

// By the last change within reach, so that cover that changes elsewhere leaves a stand its sight.
using SightKey = std::tuple<ChangeLog::Number, LocalXY, StandAttrs>;
using SightMemo = Memo<SightKey, Raster<std::uint8_t>>;
struct StandCache {
  ChangeLog::Watch cover;
  LocalXY watched_from;
  SightMemo sight, quick_sight;
  using ScentKey = std::tuple<Ref<compute::Flow>, Ref<compute::PlumeTable>, LocalXY>;
  Memo<ScentKey, compute::ScentPlume> scent;
  Memo<std::tuple<Ref<compute::Flow>, Ref<AirMap>, compute::PlumeAir, LocalXY>, LocalAir> air;
  Memo<std::tuple<Ref<AirGround>, Ref<SkyAhead>, LocalXY>, std::optional<Instant>> drains;
  using MarginKey = std::tuple<Ref<std::vector<ScentOn>>, Ref<compute::WindResponse>,
                               Ref<compute::PlumeTable>, AirKey, double>;
  Memo<MarginKey, SwingMargin> margin;
  Memo<std::tuple<Ref<compute::ScentPlume>, Ref<Raster<std::uint8_t>>, Ref<TrailPlaces>, double,
                  double>,
       std::vector<TrailMeeting>>
      meetings;
  Memo<std::tuple<Ref<Raster<std::uint8_t>>, Ref<Terrain>, LocalXY, double, Rows<Weapon>>,
       std::vector<Ring>>
      rings;
  using ReachKey = std::tuple<Ref<Raster<std::uint8_t>>, Ref<Terrain>, ChangeLog::Number,
                              Ref<Feature>, Rows<Weapon>, Rows<Feature>, double>;
  Memo<ReachKey, std::vector<InReach>> in_reach;
  Memo<std::tuple<Ref<Terrain>, LocalXY, double, Rows<Weapon>>, FireLines> fire_lines;
  using FireKey = std::tuple<Ref<Raster<std::uint8_t>>, Ref<FireLines>, LocalXY, Uid,
                             std::array<FeatureRows, kSetbackCount>>;
  Memo<FireKey, std::vector<WeaponFire>> fire;
  Memo<std::tuple<Ref<Terrain>, LocalXY, double>, compute::HorizonProfile> horizon;
  Memo<std::tuple<Ref<compute::HorizonProfile>, Ref<compute::SunMinutes>>,
       std::vector<compute::SunSpan>>
      sun;
  using LightKey = std::tuple<Ref<compute::HorizonProfile>, Ref<std::vector<compute::SunSpan>>,
                              Ref<std::vector<InReach>>, LonLat, double, double, Instant, Instant>;
  Memo<LightKey, StandLight> light;
  using DeerAreas = Ref<std::vector<DeerArea>>;
  Memo<std::tuple<LocalXY, Ref<AreaCells>>, compute::PolarPlaces> around;  // cells of areas
  Memo<std::tuple<LocalXY, Ref<TrailPlaces>>, compute::PolarPlaces> around_trails;
  using ScentOnKey = std::tuple<Ref<compute::ScentPlume>, DeerAreas, Ref<AreaCells>>;
  Memo<ScentOnKey, std::vector<ScentOn>> scent_on;
  Memo<std::tuple<Ref<Raster<std::uint8_t>>, DeerAreas, LocalXY>, std::vector<SeenFrom>> seen_from;
  // A field that has weight is another for every hazard; one without keeps its line.
  std::array<std::array<Memo<std::tuple<Ref<compute::CostField>, LocalXY>, FieldLine>, kTradeCount>,
             2>
      line;  // in, out
  using WayKey = std::tuple<Ref<compute::CostField>, Ref<HazardModel>, LocalXY>;
  std::array<Memo<WayKey, Ref<Way>>, kTradeCount> way_in, way_out;
  using DrawnKey = std::tuple<Ref<Feature>, Ref<HazardModel>, FeatureRows, FeatureRows, FeatureRows,
                              bool, LocalXY>;
  Memo<DrawnKey, Ref<Way>> drawn_in, drawn_out;
};

struct AreaCache {
  using SampleSight = Ref<Raster<std::uint8_t>>;
  std::vector<WalkerSight> from_sample;
  Memo<std::tuple<std::vector<SampleSight>, Path>, AreaSight> sight;
  Memo<std::tuple<std::vector<DeerPatch>, GridSpec>, AreaPlaces> places;
  using ScentKey = std::tuple<Ref<compute::Flow>, Ref<compute::PlumeTable>, Ref<AreaPlaces>>;
  std::array<Memo<ScentKey, AreaScent>, 2> scent;  // on the way in, out
  Memo<std::tuple<Ref<Feature>, Path, GridSpec>, AreaSound> sound;
};

struct EngineCache {
  Judgement judgement;
  CrsId crs;
  std::unique_ptr<Frame> frame;
  std::optional<LocalXY> centre;  // of which the next two are known
  LonLat place{-90, 40};
  double convergence_deg = 0;
  LandCache land;
  using GapKey = std::tuple<Ref<AnalysisLand>, FeatureRows, FeatureRows, FeatureRows>;
  Memo<GapKey, std::vector<GapUse>> gaps;
  Memo<std::tuple<FeatureRows, FeatureRows, FeatureRows, FeatureRows, Ref<std::vector<GapUse>>>,
       std::vector<DeerArea>>
      areas;
  Memo<std::tuple<Ref<std::vector<DeerArea>>, GridSpec>, AreaCells> area_cells;
  Memo<Ref<AreaCells>, std::vector<LocalXY>> area_centres;
  Memo<FeatureRows, TrailPlaces> trail_places;
  std::map<Uid, AreaCache> of_area;
  Memo<std::tuple<Ref<Terrain>, GridSpec>, AirGround> air_ground;
  Memo<Ref<AnalysisLand>, AirCover> air_cover;
  Ref<AirCover> last_air_cover;
  Memo<Ref<AnalysisLand>, Raster<float>> wind_cover;
  Ref<Raster<float>> same_wind_cover;  // the first of those of one content
  using WindKey = std::tuple<Ref<Terrain>, Ref<Raster<float>>, GridSpec>;
  struct RatioWind {
    Memo<WindKey, LandTurn> turn;
    WindKey of;  // what `last` was solved for
    Ref<LandTurn> last;
  };
  std::array<RatioWind, kRatioCount> wind;
  Memo<std::tuple<Ref<Terrain>, GridSpec>, Raster<float>> wind_ground;
  using WindSolverKey = std::tuple<Ref<Raster<float>>, GridSpec, std::vector<size_t>>;  // ratios
  Memo<WindSolverKey, compute::TerrainWindSolver> wind_solver;
  std::array<Memo<std::tuple<Ref<AirGround>, HourSky>, compute::SlopeAir>, 2> slope;  // in, out
  using FlowKey =
      std::tuple<Ref<AirGround>, Ref<AirCover>, LandTurns, Ref<compute::SlopeAir>, AirKey>;
  using ResponseKey =
      std::tuple<Ref<AirGround>, Ref<AirCover>, LandTurns, Ref<compute::SlopeAir>, double>;
  std::array<std::array<Memo<ResponseKey, compute::WindResponse>, kCarryHeights_m.size()>, 2>
      response;
  std::array<std::array<Memo<FlowKey, compute::Flow>, kCarryHeights_m.size()>, 2> flow;
  Memo<std::tuple<FlowKey, double>, AirMap> air_map;
  std::array<Memo<compute::PlumeAir, compute::PlumeTable>, 2> walker;      // in, out
  std::map<double, Memo<compute::PlumeAir, compute::PlumeTable>> sitters;  // by scent height
  using SkyKey = std::tuple<Instant, LonLat, double, Ref<Rows<WindHour>>, bool, double, double>;
  Memo<SkyKey, SkyAhead> sky_ahead;
  using HazardKey = std::tuple<Ref<HazardStill>, double, double, std::vector<double>,
                               std::vector<Ref<AreaScent>>>;
  /// The areas with their occupancy; in, out.
  std::array<
      Memo<std::tuple<Ref<std::vector<DeerArea>>, std::vector<double>>, std::vector<DeerArea>>, 2>
      deer;
  using StillKey =
      std::tuple<Ref<AnalysisLand>, std::array<std::vector<double>, 2>, std::vector<Ref<AreaSight>>,
                 std::vector<Ref<AreaSound>>, Ref<AreaCells>>;
  Memo<StillKey, std::array<HazardStill, 2>> still;
  std::array<Memo<HazardKey, HazardModel>, 2> hazard;  // in, out
  using FieldKey =
      std::tuple<Ref<compute::WalkGraph>, Ref<HazardModel>, std::vector<size_t>, double>;
  std::array<std::array<Memo<FieldKey, compute::CostField>, kTradeCount>, 2> field;
  Memo<std::tuple<Instant, std::string, LonLat>, MoonDay> moon;
  using SunKey = std::tuple<Instant, LonLat, double>;
  Memo<SunKey, compute::SunMinutes> sun_minutes;
  std::array<HeldTimes, 2> step_times;  // in, out
  std::map<Uid, StandCache> stands;
  CheckCache checks;
};

}  // namespace leeward
