// A small invented property in memory: 800 x 800 m, one of everything that the evaluators read.
#pragma once

#include "core/eval/engine.h"
#include "core/model/edit.h"
#include "tests/support/terrain_makers.h"

namespace leeward::testing {

inline constexpr double kWest = 500000, kSouth = 4300000;  // UTM zone 15
inline LocalXY at(double x, double y) { return {kWest + x, kSouth + y}; }
inline Shape box(double x, double y, double w, double h) {
  return Shape::area({at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)});
}
inline Feature seeded(Kind kind, Shape shape, const std::string& name) {
  Feature f = make_feature(kind, std::move(shape), name);
  f.uid = Uid::from_seed(name);
  return f;
}
inline Document edited(const Document& d, std::vector<Edit> edits) {
  auto next = apply(d, {"test", std::move(edits), {}});
  if (!next) throw std::runtime_error(next.error().message);
  return *std::move(next);
}

/// A wind hour for every hour of two days from 2026-11-14T00:00Z, by default from the north-west at
/// 3 m/s.
inline Document small_property(double from_deg = 315, double speed_mps = 3) {
  Settings s;
  s.name = "Test ground";
  s.crs = "EPSG:32615";
  s.legal_before_sunrise_min = 30;
  s.legal_after_sunset_min = 30;
  std::vector<Edit> edits = {put(s)};
  const auto add = [&](Feature f) { edits.push_back(put(std::move(f))); };
  add(seeded(Kind::boundary, box(0, 0, 800, 800), "Line"));
  add(seeded(Kind::bedding, box(520, 520, 120, 100), "East bed"));
  add(seeded(Kind::food, box(150, 500, 150, 120), "Clover"));
  add(seeded(Kind::cover, box(400, 300, 380, 450), "Big woods"));
  add(seeded(Kind::sanctuary, box(650, 650, 100, 100), "Quiet corner"));
  Feature creek =
      seeded(Kind::water, Shape::line({at(0, 250), at(380, 262), at(800, 240)}), "Creek");
  creek.as<WaterAttrs>().type = WaterType::creek;
  creek.as<WaterAttrs>().walkable = true;
  add(creek);
  add(seeded(Kind::deer_trail, Shape::line({at(520, 560), at(400, 520), at(300, 560)}),
             "Bed to clover"));
  add(seeded(Kind::human_path, Shape::line({at(20, 20), at(200, 200), at(352, 398)}), "Lane path"));
  Feature wall = seeded(Kind::barrier, Shape::line({at(330, 450), at(330, 700)}), "Wall");
  wall.as<BarrierAttrs>().gaps = {{100, 6}};
  add(wall);
  add(seeded(Kind::gate, Shape::point(at(10, 10)), "South gate"));
  Feature s1 = seeded(Kind::stand, Shape::point(at(360, 400)), "Edge ladder");
  add(s1);
  add(seeded(Kind::stand, Shape::point(at(420, 600)), "Wall stand"));
  add(seeded(Kind::mock_scrape, Shape::point(at(375, 410)), "Scrape one"));
  Weapon bow;
  bow.uid = Uid::from_seed("bow");
  bow.name = "Bow";
  edits.push_back(put(bow));
  const Instant start = *parse_iso8601("2026-11-14T00:00:00Z");
  Forecast f{Uid::from_seed("forecast"), "test forecast", start};
  edits.push_back(put(f));
  for (int i = 0; i < 48; ++i) {
    WindHour h;
    h.uid = Uid::from_seed("hour" + std::to_string(i));
    h.forecast = f.uid;
    h.at = start + std::chrono::hours{i};
    h.from_deg = from_deg;
    h.speed_mps = speed_mps;
    h.cloud = 0.3;
    edits.push_back(put(h));
  }
  return edited(Document{}, std::move(edits));
}

inline Ref<Terrain> small_terrain(std::uint32_t seed = 11) {
  Terrain t;
  t.ground = seeded_ground(GridSpec{kWest - 300, kSouth + 1100, 2, 700, 700}, seed);
  return make_ref<Terrain>(std::move(t));
}
inline const Instant kEvening = *parse_iso8601("2026-11-14T20:30:00Z");

inline Ref<Results> evaluate_cold(const Document& d, const Ref<Terrain>& terrain,
                                  Instant when = kEvening) {
  Engine engine;
  auto r = engine.evaluate({make_ref<Document>(d), terrain, scene_at(d, when)});
  if (!r) throw std::runtime_error(r.error().message);
  return *r;
}

}  // namespace leeward::testing
