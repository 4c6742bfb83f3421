#include "ui/print/stand_card.h"

#include "core/compute/geomagnetic.h"
#include "tests/print/print_support.h"
#include "ui/print/panorama.h"
#include "ui/print/sheets.h"
#include "ui/print/way_words.h"

#include <cmath>

namespace leeward::ui {
namespace {

using namespace leeward::testing;
using ::testing::HasSubstr;
using ::testing::Not;

class StandCard : public PrintTest {
 protected:
  Frame frame_ = *Frame::make("EPSG:32615");
};

Way wayOver(const Path& points) {
  Way way;
  way.points = points;
  for (size_t i = 1; i < points.size(); ++i) {
    WayLeg leg;
    leg.to = points[i];
    leg.toward = bearing(points[i - 1], points[i]);
    leg.length_m = distance_m(points[i - 1], points[i]);
    way.legs.push_back(leg);
  }
  return way;
}

// Grid to true by PROJ's convergence, true to magnetic by the model's declination.
TEST_F(StandCard, ABearingIsThatOfACompass) {
  const LocalXY place = testing::at(400, 400);
  const Norths n = northsAt(frame_, place, kEvening);
  const LonLat at = frame_.to_wgs84(place);
  const auto field = compute::magnetic_field(at, 0, compute::decimal_year(kEvening));
  ASSERT_TRUE(n.declination_deg && field);
  EXPECT_NEAR(n.compassDeg(Bearing::degrees(90)),
              90 + frame_.convergence_deg(place) - field->declination_deg, 1e-9);
  EXPECT_THAT(northWords(n, "UTC").toStdString(), HasSubstr("WMM2025"));
  const Norths late = northsAt(frame_, place, *parse_iso8601("2031-01-01T00:00:00Z"));
  EXPECT_FALSE(late.declination_deg);
  EXPECT_STREQ(late.kindWord(), "true");
  EXPECT_NEAR(late.compassDeg(Bearing::degrees(90)), 90 + frame_.convergence_deg(place), 1e-9);
  EXPECT_THAT(northWords(late, "UTC").toStdString(), HasSubstr("outside the years 2025 to 2029"));
}

TEST_F(StandCard, TurnsTellDistanceStepsAndWhatIsMet) {
  // Along the lane path, then off it, over the creek's line and past the scrape.
  const Way way = wayOver({testing::at(20, 20), testing::at(110, 110), testing::at(200, 200),
                           testing::at(200, 300), testing::at(360, 400)});
  const auto turns = turnsOf(document_, way, northsAt(frame_, testing::at(200, 200), kEvening));
  ASSERT_EQ(turns.size(), 3U);
  EXPECT_EQ(turns[0].along, "Lane path");
  EXPECT_NEAR(turns[0].length_m, 180 * std::sqrt(2), 1e-6);
  EXPECT_EQ(turns[0].steps, std::lround(turns[0].length_m / 0.75));
  EXPECT_EQ(turns[1].along, "");
  EXPECT_THAT(turns[1].landmarks.toStdString(), HasSubstr("over Creek at 62 yd"));  // 256.3 - 200 m
  EXPECT_THAT(turns[2].landmarks.toStdString(), HasSubstr("past Scrape one"));
  EXPECT_THAT(turns[2].landmarks.toStdString(), HasSubstr("to the left"));
  EXPECT_THAT(turnWords(turns[0], UnitSystem::metric).toStdString(),
              HasSubstr("255 m (339 steps) along Lane path"));
}

TEST_F(StandCard, BendsTooSmallToWalkByAreNotTold) {
  const Way way = wayOver(
      {testing::at(600, 20), testing::at(602, 60), testing::at(600, 100), testing::at(700, 100)});
  const auto turns = turnsOf(document_, way, northsAt(frame_, testing::at(600, 20), kEvening));
  ASSERT_EQ(turns.size(), 2U);
  EXPECT_NEAR(turns[0].length_m, 80, 1e-6);
}

// A hill on one side stands over the eye; rings on level ground lie at atan(height / range).
TEST_F(StandCard, ThePanoramaIsTheStandsOwnView) {
  Terrain level;
  level.ground = Raster<float>(GridSpec{kWest - 500, kSouth + 1500, 5, 400, 400}, 100.0F);
  for (int r = 0; r < 400; ++r)
    for (int c = 240; c < 260; ++c) level.ground.at(c, r) = 150;  // a wall to the east
  const StandResult* stand = results_->find(Uid::from_seed("Edge ladder"));
  ASSERT_TRUE(stand);
  const Panorama view = panoramaOf(document_, level, *stand);
  EXPECT_TRUE(view.ground_known);
  const double eye_m = stand->eye_m;
  const double wall_m = kWest - 500 + 240 * 5 - (kWest + 360);  // nearest raised cell's edge
  const double expected = std::atan2(50 - eye_m, wall_m) * kDegPerRad;
  EXPECT_NEAR(view.horizon_deg[45], expected, 1.0);
  EXPECT_LE(view.horizon_deg[135], 0);
  ASSERT_FALSE(view.rings.empty());
  EXPECT_NEAR(view.rings[0].depression_deg[90],
              std::atan2(eye_m - 0.8, view.rings[0].range_m) * kDegPerRad, 0.05);
  for (const auto& m : view.marks) EXPECT_LE(m.range_m, 27.432 + 1e-6);
}

StandWinds allFair(const Results& r) {
  StandWinds w;
  w.known = true;
  for (const StandResult& s : r.stands) w.stands.push_back({s.stand, {}});
  return w;
}

TEST_F(StandCard, TheNextStandIsFairBehindTheLimitOrNone) {
  const Uid edge = Uid::from_seed("Edge ladder"), wall = Uid::from_seed("Wall stand");
  StandResult stand = *results_->find(edge);
  stand.margin = {false, 30, 90, Uid::from_seed("Clover"), {}};
  ASSERT_TRUE(results_->find(wall)->way_in[static_cast<size_t>(Trade::balanced)]);
  StandWinds winds = allFair(*results_);
  auto found = fallbacks(document_, *results_, winds, stand);
  ASSERT_EQ(found.size(), 1U);  // to the other side it may swing 90 degrees or more
  EXPECT_TRUE(found[0].veering);
  EXPECT_NEAR(found[0].past_true_deg, wrap_360(results_->air.from_true_deg + 30), 1e-6);
  EXPECT_EQ(found[0].stand, wall);
  // Foul in the sector behind the limit (a wind from 345 is NNW, sector 15).
  winds.stands[1].suits[15] = WindSuit::foul;
  EXPECT_EQ(fallbacks(document_, *results_, winds, stand)[0].stand, Uid{});
  // Somebody else has it.
  winds = allFair(*results_);
  Feature taken = *document_.find(wall);
  taken.as<StandAttrs>().sitter = "a guest";
  EXPECT_EQ(fallbacks(edited(document_, {put(taken)}), *results_, winds, stand)[0].stand, Uid{});
  stand.margin.passed = true;
  EXPECT_TRUE(fallbacks(document_, *results_, winds, stand).empty());
}

// The rose is the engine's own answer for the same wind entered by hand.
TEST_F(StandCard, TheRoseAgreesWithTheSameWindEnteredByHand) {
  Engine engine;
  const Snapshot ask{make_ref<Document>(document_), terrain_, scene_at(document_, kEvening)};
  const auto base = engine.evaluate(ask);
  ASSERT_TRUE(base);
  const auto winds = standWinds(engine, ask, **base);
  ASSERT_TRUE(winds);
  ASSERT_TRUE(winds->known);
  const double to_grid = (*base)->air.from.source().degrees() - (*base)->air.from_true_deg;
  int foul = 0;
  for (const int sector : {0, 4, 10}) {
    Settings s = *document_.settings;
    s.use_hand_wind = true;
    s.hand_wind = {wrap_360(sector * 22.5 + to_grid), 3, 0.3};
    const auto r = evaluate_cold(edited(document_, {put(s)}), terrain_);
    for (const StandResult& stand : r->stands) {
      const bool passed = stand.margin.passed;
      foul += passed;
      EXPECT_EQ(winds->find(stand.stand)->suits[static_cast<size_t>(sector)] == WindSuit::foul,
                passed)
          << sector;
    }
  }
  EXPECT_GT(foul, 0);
  Results calm = **base;
  calm.air.speed_10m_mps = 0.2;
  EXPECT_FALSE(standWinds(engine, ask, calm)->known);
}

TEST_F(StandCard, EverySheetIsInOneFileWithBookmarks) {
  Engine engine;
  const Snapshot ask{make_ref<Document>(document_), terrain_, scene_at(document_, kEvening)};
  SheetsRequest all{request(), {true, true, true, true}, {}, {}};
  all.winds = *standWinds(engine, ask, *results_);
  all.plan = make_ref<Plan>(*make_plan(engine, ask, 1));
  ASSERT_TRUE(writeSheetsPdf(all, file("all.pdf")));
  EXPECT_THAT(run("qpdf --check " + file("all.pdf")),
              HasSubstr("No syntax or stream encoding errors"));
  EXPECT_THAT(run("pdfinfo " + file("all.pdf")), HasSubstr("Pages:           4"));
  const std::string card = words(file("all.pdf"), "-f 2 -l 2 -layout");
  for (const char* expected :
       {"Edge ladder", "Wall stand", "From South gate", "magnetic", "steps", "a step is 0.75 m",
        "If the wind turns", "Full-body harness", "USNG 15S", "° N,", "° W", "never cleared",
        "no setback is entered", "Winds from, true"})
    EXPECT_THAT(card, HasSubstr(expected));
  EXPECT_THAT(words(file("all.pdf"), "-f 3 -l 3"), HasSubstr("Plan of the coming sits"));
  EXPECT_THAT(words(file("all.pdf"), "-f 4 -l 4"), HasSubstr("To look up and enter"));
  const std::string outlines = run("qpdf --json --json-key=outlines " + file("all.pdf"));
  for (const char* title : {"Hunt map", "Stand cards", "Edge ladder", "Wall stand",
                            "Plan of the coming sits", "Work list"})
    EXPECT_THAT(outlines, HasSubstr("\"title\": \"" + std::string(title) + "\""));
  EXPECT_THAT(outlines, HasSubstr("\"destpageposfrom1\": 4"));
  EXPECT_THAT(run("gdalinfo " + file("all.pdf")),
              ::testing::AnyOf(HasSubstr("SUBDATASET_1_NAME"), Not(HasSubstr("Driver: PDF"))));
  SheetsRequest none = all;
  none.choice = {false, false, false, false};
  EXPECT_EQ(writeSheetsPdf(none, file("none.pdf")).error().code, ErrorCode::invalid_argument);
}

TEST_F(StandCard, LargeTypeTakesTwoCardsAPage) {
  PrintLayout layout;
  layout.large_type = true;
  EXPECT_EQ(cardPlaces({216, 279}, true).size(), 2U);
  EXPECT_EQ(cardPlaces({216, 279}, false).size(), 4U);
  ASSERT_TRUE(
      writeSheetsPdf({request(layout), {false, true, false, false}, {}, {}}, file("cards.pdf")));
  EXPECT_THAT(run("pdfinfo " + file("cards.pdf")), HasSubstr("Pages:           1"));
  const auto tallest = [&](const char* word) {  // of a word's boxes, points
    double most = 0;
    const std::string boxes = words(file("cards.pdf"), "-bbox");
    for (size_t i = boxes.find(word); i != std::string::npos; i = boxes.find(word, i + 1)) {
      double x0, y0, x1, y1;
      const size_t tag = boxes.rfind("<word", i);
      if (std::sscanf(boxes.c_str() + tag,
                      "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf", &x0, &y0, &x1,
                      &y1) == 4)
        most = std::max(most, y1 - y0);
    }
    return most;
  };
  const double large = tallest(">harness,<");
  ASSERT_TRUE(writeSheetsPdf({request(), {false, true, false, false}, {}, {}}, file("cards.pdf")));
  EXPECT_NEAR(large / tallest(">harness,<"), kLargeType, 0.05);
}

// A club's thirty stands in one file: four a page, each with its name and a bookmark.
TEST_F(StandCard, ThirtyCardsAreOneFile) {
  const Feature like = *document_.find(Uid::from_seed("Edge ladder"));
  Results many = *results_;
  const StandResult card = *results_->find(like.uid);
  std::vector<Edit> edits;
  many.stands.clear();
  for (int i = 1; i <= 30; ++i) {
    Feature stand = like;
    stand.name = "Club stand " + std::to_string(i);
    stand.uid = Uid::from_seed(stand.name);
    edits.push_back(put(stand));
    many.stands.push_back(card);
    many.stands.back().stand = stand.uid;
  }
  document_ = edited(document_, std::move(edits));
  SheetsRequest all{request(), {false, true, false, false}, {}, {}};
  all.map.results = make_ref<Results>(std::move(many));
  ASSERT_TRUE(writeSheetsPdf(all, file("club.pdf")));
  EXPECT_THAT(run("pdfinfo " + file("club.pdf")), HasSubstr("Pages:           8"));
  const std::string text = words(file("club.pdf"), "-raw"),
                    marks = run("qpdf --json --json-key=outlines " + file("club.pdf"));
  for (int i = 1; i <= 30; ++i) {
    EXPECT_THAT(text, HasSubstr("Club stand " + std::to_string(i) + "\n"));
    EXPECT_THAT(marks, HasSubstr("\"Club stand " + std::to_string(i) + "\""));
  }
}

}  // namespace
}  // namespace leeward::ui
