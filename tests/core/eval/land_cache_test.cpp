// LandCache against the land made whole, byte by byte, after random edits.
#include "core/eval/land_cache.h"

#include "core/eval/hazard.h"
#include "core/eval/walker_sight.h"
#include "core/model/edit.h"
#include "tests/support/terrain_makers.h"

#include <gtest/gtest.h>

#include <random>

namespace leeward {
namespace {

const GridSpec kFine{1000.25, 2300.75, 1, 300, 260};  // edges off the analysis grid's
const Judgement kJudgement;

template <class T>
bool same_bytes(const std::vector<T>& a, const std::vector<T>& b) {
  return a.size() == b.size() && std::memcmp(a.data(), b.data(), a.size() * sizeof(T)) == 0;
}
template <class T>
bool same_bytes(const Raster<T>& a, const Raster<T>& b) {
  return a.spec == b.spec && same_bytes(a.cells, b.cells);
}
bool same_bytes(const compute::SightLand& a, const compute::SightLand& b) {
  return a.spec == b.spec && same_bytes(a.ground_m, b.ground_m) && same_bytes(a.top_m, b.top_m) &&
         same_bytes(a.density_per_m, b.density_per_m);
}
bool same_bytes(const AnalysisLand& a, const AnalysisLand& b) {
  return same_bytes(a.cells, b.cells) && same_bytes(a.noise, b.noise) &&
         same_bytes(a.timber, b.timber) && same_bytes(a.attenuation, b.attenuation) &&
         same_bytes(a.hidden, b.hidden) && same_bytes(a.slowness, b.slowness);
}
bool same_bytes(const compute::WalkGraph& a, const compute::WalkGraph& b) {
  return a.level == b.level && a.directions == b.directions && same_bytes(a.slowness, b.slowness) &&
         same_bytes(a.ground_m, b.ground_m) && same_bytes(a.steps, b.steps);
}

Ref<Terrain> terrain(bool canopy) {
  Terrain t;
  t.ground = testing::seeded_ground(kFine, 7);
  t.ground.at(40, 50) = kUnknown;
  if (canopy) {
    t.canopy_m = Raster<float>(kFine, 0.0F);
    for (int r = 0; r < kFine.rows; ++r)
      for (int c = 0; c < kFine.cols; ++c)
        t.canopy_m.at(c, r) = (c / 30 + r / 40) % 4 == 0 ? 9.0F + static_cast<float>(c % 7) : 0.5F;
  }
  return make_ref<Terrain>(std::move(t));
}

class Hand {
 public:
  explicit Hand(unsigned seed) : random_(seed) {
    Settings s;
    s.crs = "EPSG:32615";
    put_in({put(s)});
    put_in({put(make_feature(Kind::boundary, area(280)))});
    for (const Kind k : kKinds) put_in({put(drawn(k))});
  }

  Document document;
  LandDay day() const {
    LandDay out = land_day(document, *parse_iso8601("2026-11-14T20:30:00Z"));
    out.leaf_on = leaf_on_;
    return out;
  }

  void edit() {
    const int what = below(20);
    if (what == 0) {
      Settings s = *document.settings;
      s.beyond_boundary = !s.beyond_boundary;
      put_in({put(s)});
    } else if (what == 1) {
      leaf_on_ = !leaf_on_;
    } else if (what < 5) {
      put_in({put(drawn(kKinds[static_cast<size_t>(below(kCount))]))});
    } else if (const Ref<Feature> f = any()) {
      if (what < 7 && document.of(f->kind()).size() > 1)
        put_in({Remove{f->uid}});
      else
        change(*f);
    }
  }

 private:
  static constexpr int kCount = 12;
  static constexpr std::array<Kind, kCount> kKinds = {
      Kind::cover,      Kind::cover,         Kind::cover,     Kind::barrier,
      Kind::barrier,    Kind::shooting_lane, Kind::water,     Kind::road,
      Kind::human_path, Kind::gate,          Kind::sanctuary, Kind::boundary};

  int below(int n) { return static_cast<int>(random_() % static_cast<unsigned>(n)); }
  double within(double least, double most) {
    return least + (most - least) * below(10000) / 10000.0;
  }
  // Now and then off the grid.
  LocalXY place() {
    return {kFine.west + within(-30, kFine.cols + 30), kFine.south() + within(-30, 290)};
  }
  Shape area(double size_m) {
    const LocalXY middle = place();
    Path ring;
    const int corners = 3 + below(6);
    for (int i = 0; i < corners; ++i)
      ring.push_back(
          moved(middle, Bearing::degrees(360.0 * i / corners), size_m * within(0.2, 0.6)));
    return Shape::area(ring);
  }
  Shape line() {
    Path out = {place()};
    for (int i = below(3); i >= 0; --i) out.push_back(out.back() + LocalXY{within(-90, 90), 40});
    return Shape::line(out);
  }
  Shape shape(Kind k) {
    if (k == Kind::gate) return Shape::point(place());
    const bool as_line = !info(k).area || (info(k).line && below(4) == 0);
    return as_line ? line() : area(within(20, 120));
  }
  Feature drawn(Kind k) {
    Feature f = make_feature(k, shape(k));
    attributes(f);
    return f;
  }
  void attributes(Feature& f) {
    if (f.kind() == Kind::cover) {
      auto& a = f.as<CoverAttrs>();
      a.type = below(2) == 0 ? CoverType::brush : CoverType::conifer;
      a.height_m = below(15);
      if (below(4) == 0) a.cut_on = below(2) == 0 ? "2026-10-01" : "2026-12-01";
    } else if (f.kind() == Kind::barrier) {
      auto& b = f.as<BarrierAttrs>();
      b.type = std::array{BarrierType::felled_trees, BarrierType::fence,
                          BarrierType::cliff}[static_cast<size_t>(below(3))];
      b.gaps = {{within(0, 60), within(2, 9)}};
    } else if (f.kind() == Kind::water) {
      f.as<WaterAttrs>().walkable = below(2) == 0;
      f.as<WaterAttrs>().banks_m = below(3);
    } else if (f.kind() == Kind::shooting_lane) {
      f.as<ShootingLaneAttrs>().width_m = within(2, 12);
    } else if (f.kind() == Kind::sanctuary && below(2) == 0) {
      f.as<SanctuaryAttrs>().reason = "work";
      f.as<SanctuaryAttrs>().open_on = "2026-11-14";
    }
  }
  Ref<Feature> any() {
    const auto& rows = document.of(kKinds[static_cast<size_t>(below(kCount))]);
    return rows.empty() ? nullptr : rows[static_cast<size_t>(below(static_cast<int>(rows.size())))];
  }
  void change(Feature f) {
    Path& path = f.shape.parts[0];
    const int how = below(6);
    const size_t at = static_cast<size_t>(below(static_cast<int>(path.size())));
    if (how == 0) {
      f.name += "x";
    } else if (how == 1) {
      attributes(f);
    } else if (how == 2 && path.size() > 3) {
      path.erase(path.begin() + static_cast<std::ptrdiff_t>(at));
    } else if (how == 3 && path.size() > 1) {
      path.insert(path.begin() + static_cast<std::ptrdiff_t>(at), path[at] + LocalXY{3.5, -7.25});
    } else {
      path[at] = path[at] + LocalXY{within(-20, 20), within(-20, 20)};
    }
    put_in({put(std::move(f))});
  }
  void put_in(std::vector<Edit> edits) {
    auto next = apply(document, {"edit", std::move(edits), {}});
    if (next) document = *next;
  }

  std::mt19937 random_;
  bool leaf_on_ = false;
};

struct Whole {
  CoverGrid cover;
  AnalysisLand land;
  std::array<compute::WalkGraph, 2> graph;
};
Whole made_whole(const LandCache::Asked& q) {
  Whole out;
  out.cover = make_cover_grid(q.document, *q.terrain, q.analysis, q.day, q.judgement);
  out.land = make_analysis_land(q.document, out.cover, q.analysis, q.day, q.judgement);
  out.graph = {make_property_graph(q.document, out.land, q.day, false),
               make_property_graph(q.document, out.land, q.day, true)};
  return out;
}

// Every cell that differs lies in a noted box.
template <class Told>
bool all_noted(const compute::SightLand& before, const compute::SightLand& now,
               const std::vector<Told>& boxes) {
  Raster<std::uint8_t> noted(now.spec);
  for (const CellBox& b : boxes)
    for (int r = b.row; r < b.end_row(); ++r)
      for (int c = b.col; c < b.end_col(); ++c) noted.at(c, r) = 1;
  for (int r = 0; r < now.spec.rows; ++r)
    for (int c = 0; c < now.spec.cols; ++c)
      if (!noted.at(c, r) && !compute::same_cells(before, now, c, r, 1)) return false;
  return true;
}

// Grids that somebody still holds must stay as they were given out.
struct Held {
  Ref<CoverGrid> cover;
  Ref<AnalysisLand> land;
  CoverGrid cover_copy;
  AnalysisLand land_copy;
};

TEST(LandCache, IsTheWholeLandToTheLastByteAfterRandomEdits) {
  Hand hand(5);
  LandCache cache;
  Ref<Terrain> ground = terrain(false);
  const GridSpec analysis = GridSpec::covering(kFine.box().grown(60), 5);
  ChangeLog::Watch cover_watch, land_watch;
  const auto any = [](const CellBox&) { return true; };
  std::vector<Held> held;
  int kept = 0, repaired = 0;
  for (int i = 0; i < 500; ++i) {
    hand.edit();
    if (i == 200) ground = terrain(true);
    const LandCache::Asked q{hand.document, ground, analysis, hand.day(), kJudgement};
    const Ref<CoverGrid> cover_before = cache.cover();
    const Ref<AnalysisLand> land_before = cache.land();
    const auto cover_looked = cover_watch.looked, land_looked = land_watch.looked;
    cache.update(q);
    const Whole whole = made_whole(q);
    ASSERT_TRUE(same_bytes(cache.cover()->fine, whole.cover.fine)) << i;
    ASSERT_TRUE(same_bytes(*cache.land(), whole.land)) << i;
    ASSERT_TRUE(same_bytes(*cache.graph(q, false), whole.graph[0])) << i;
    if (i % 3 == 0) {
      ASSERT_TRUE(same_bytes(*cache.graph(q, true), whole.graph[1])) << i;
    }
    cache.cover_changes().touched(cover_watch, any);
    cache.land_changes().touched(land_watch, any);
    if (cover_before && cache.cover_changes().knows_since(cover_looked)) {
      ++repaired;
      ASSERT_TRUE(all_noted(cover_before->fine, whole.cover.fine,
                            cache.cover_changes().boxes_since(cover_looked)));
      ASSERT_TRUE(all_noted(land_before->cells, whole.land.cells,
                            cache.land_changes().boxes_since(land_looked)));
    }
    kept += cache.cover() == cover_before;
    if (i % 7 == 0) held.push_back({cache.cover(), cache.land(), whole.cover, whole.land});
    if (held.size() > 4) held.erase(held.begin());
    for (const Held& h : held) {
      ASSERT_TRUE(same_bytes(h.cover->fine, h.cover_copy.fine)) << i;
      ASSERT_TRUE(same_bytes(*h.land, h.land_copy)) << i;
    }
  }
  EXPECT_GT(repaired, 450);
  EXPECT_GT(kept, 50);
  EXPECT_LT(kept, 400);
}

TEST(LandCache, TellsOfAMovedCornerLittleMoreThanWhatItChanges) {
  Document d;
  Feature woods = make_feature(
      Kind::cover, Shape::area({{1050, 2100}, {1250, 2100}, {1250, 2250}, {1050, 2250}}));
  d = *apply(d, {"draw", {put(woods)}, {}});
  const Ref<Terrain> ground = terrain(false);
  const GridSpec analysis = GridSpec::covering(kFine.box().grown(60), 5);
  LandCache cache;
  cache.update({d, ground, analysis, {}, kJudgement});
  const auto before = cache.cover();
  ChangeLog::Watch watch;
  const auto looked = cache.cover_changes().touched(watch, [](const CellBox&) { return true; });
  woods.shape.parts[0][1] = {1258, 2092};
  d = *apply(d, {"corner", {put(woods)}, {}});
  cache.update({d, ground, analysis, {}, kJudgement});
  EXPECT_NE(cache.cover(), before);
  int told = 0, differ = 0;
  for (const CellBox& b : cache.cover_changes().boxes_since(looked)) told += b.cols * b.rows;
  for (size_t i = 0; i < before->fine.top_m.cells.size(); ++i)
    differ += before->fine.top_m.cells[i] != cache.cover()->fine.top_m.cells[i];
  EXPECT_GT(differ, 1000);  // two triangles of about 800 and 600 square metres
  EXPECT_LT(told, 1.5 * differ);
}

TEST(LandCache, TakesUpTheLandThatNobodyHolds) {
  Hand hand(9);
  const Ref<Terrain> ground = terrain(false);
  const GridSpec analysis = GridSpec::covering(kFine.box().grown(60), 5);
  LandCache cache;
  const CoverGrid* seen[3] = {};
  Feature woods =
      make_feature(Kind::cover, Shape::area({{1050, 2100}, {1250, 2100}, {1250, 2250}}));
  for (int i = 0; i < 3; ++i) {
    woods.shape.parts[0][0].x += 10;
    hand.document = *apply(hand.document, {"corner", {put(woods)}, {}});
    cache.update({hand.document, ground, analysis, hand.day(), kJudgement});
    seen[i] = cache.cover().get();
  }
  EXPECT_NE(seen[1], seen[0]);
  EXPECT_EQ(seen[2], seen[0]);
}

// What rests on the land by identity reads gates, and whether a sanctuary is open, beside it.
TEST(LandCache, IsAnotherObjectWithAnotherGateOrDay) {
  Document d;
  const auto gate = [] { return make_feature(Kind::gate, Shape::point({1100, 2100})); };
  Feature woods =
      make_feature(Kind::cover, Shape::area({{1050, 2100}, {1250, 2100}, {1250, 2250}}));
  d = *apply(d, {"draw", {put(gate()), put(woods)}, {}});
  const Ref<Terrain> ground = terrain(false);
  const GridSpec analysis = GridSpec::covering(kFine.box().grown(60), 5);
  LandCache cache;
  LandDay day;
  const auto graph = [&] {
    const LandCache::Asked q{d, ground, analysis, day, kJudgement};
    cache.update(q);
    return cache.graph(q, false);
  };
  const auto first = graph();
  const auto land = cache.land();
  woods.name = "South woods";
  d = *apply(d, {"name", {put(woods)}, {}});
  EXPECT_EQ(graph(), first);
  EXPECT_EQ(cache.land(), land);
  d = *apply(d, {"gate", {Remove{d.of(Kind::gate)[0]->uid}, put(gate())}, {}});
  EXPECT_NE(graph(), first);
  EXPECT_EQ(cache.land(), land);
  day.open = {1};
  graph();
  EXPECT_NE(cache.land(), land);
}

TEST(WalkerSight, IsAsOnTheWholeLandAfterEditsNearAndFar) {
  Hand hand(3);
  LandCache cache;
  const Ref<Terrain> ground = terrain(false);
  const GridSpec analysis = GridSpec::covering(kFine.box().grown(200), 5);
  const LocalXY places[] = {{1010, 2060}, {1150, 2170}, {1290, 2290}, {800, 2000}};
  WalkerSight sight[4];
  int kept = 0, otherwise = 0;
  std::mt19937 random(1);
  for (int i = 0; i < 200; ++i) {
    hand.edit();
    const LandCache::Asked q{hand.document, ground, analysis, hand.day(), kJudgement};
    cache.update(q);
    for (size_t n = 0; n < 4; ++n) {
      if (random() % 3 == 0) continue;  // not asked after every edit
      const int before = sight[n].runs();
      const auto seen =
          sight[n].from(places[n], *cache.land(), cache.land_changes(), kJudgement, {});
      const auto whole = sight_on_walker(*cache.land(), places[n], kJudgement, {});
      ASSERT_TRUE(seen && whole);
      ASSERT_TRUE(same_bytes(**seen, *whole)) << i << ' ' << n;
      (sight[n].runs() == before ? kept : otherwise) += 1;
    }
  }
  EXPECT_GT(kept, 200);
  EXPECT_GT(otherwise, 40);
}

TEST(ChangeLog, ToldOfWhatReachesAndOfNothingElse) {
  ChangeLog log;
  ChangeLog::Watch west, east;
  const auto in_west = [](const CellBox& b) { return b.col < 100; };
  const auto in_east = [](const CellBox& b) { return b.end_col() > 100; };
  log.note_all();
  const auto w = log.touched(west, in_west), e = log.touched(east, in_east);
  log.note({{10, 10, 5, 5}});
  EXPECT_EQ(log.touched(east, in_east), e);
  const auto w2 = log.touched(west, in_west);
  EXPECT_NE(w2, w);
  EXPECT_EQ(log.boxes_since(ChangeLog::right_until(west, w)).size(), 1U);
  // What was right before many changes elsewhere needs only the last.
  for (int i = 0; i < 100; ++i) {
    log.note({{10, 10, 5, 5}});
    EXPECT_EQ(log.touched(east, in_east), e);
  }
  log.note({{150, 10, 5, 5}});
  EXPECT_NE(log.touched(east, in_east), e);
  EXPECT_EQ(log.boxes_since(ChangeLog::right_until(east, e)).size(), 1U);
  // Nobody looked for longer than is kept: all may have changed.
  EXPECT_FALSE(log.knows_since(ChangeLog::right_until(west, w2)));
  EXPECT_NE(log.touched(west, in_west), w2);
  const auto before = log.touched(east, in_east);
  log.note_all();
  EXPECT_NE(log.touched(east, in_east), before);
  EXPECT_FALSE(log.knows_since(ChangeLog::right_until(east, before)));
}

}  // namespace
}  // namespace leeward
