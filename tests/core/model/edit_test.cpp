#include "core/model/edit.h"

#include "core/model/history.h"

#include <gtest/gtest.h>

#include <limits>

namespace leeward {
namespace {

Feature stand_at(double x, double y) {
  return make_feature(Kind::stand, Shape::point({x, y}), "Oak");
}

TEST(Apply, AddsReplacesAndRemovesSharingTheRest) {
  const Document empty;
  Feature s = stand_at(1, 2);
  const auto one = apply(empty, {"Add", {put(s)}, {}});
  ASSERT_TRUE(one);
  EXPECT_EQ(one->of(Kind::stand).size(), 1U);
  EXPECT_EQ(one->revision, 1U);
  EXPECT_EQ(one->features[0], empty.features[0]);  // untouched collections are the same object
  s.shape = Shape::point({3, 4});
  const auto two = apply(*one, {"Move", {put(s)}, {}});
  ASSERT_TRUE(two);
  EXPECT_EQ(two->of(Kind::stand).size(), 1U);
  EXPECT_EQ(two->find(s.uid)->shape.position(), (LocalXY{3, 4}));
  EXPECT_EQ(one->find(s.uid)->shape.position(), (LocalXY{1, 2}));
  const auto none = apply(*two, {"Delete", {Remove{s.uid}}, {}});
  ASSERT_TRUE(none);
  EXPECT_TRUE(none->of(Kind::stand).empty());
  EXPECT_FALSE(apply(*none, {"Delete", {Remove{s.uid}}, {}}));
}

TEST(Apply, RefusesWhatIsNotValidAndChangesNothing) {
  const Document empty;
  EXPECT_FALSE(
      apply(empty, {"", {put(make_feature(Kind::stand, Shape::line({{0, 0}, {1, 1}})))}, {}}));
  EXPECT_FALSE(apply(
      empty,
      {"", {put(make_feature(Kind::bedding, Shape::area({{0, 0}, {9, 9}, {9, 0}, {0, 9}})))}, {}}));
  Feature s = stand_at(0, 0);
  s.as<StandAttrs>().platform_m = 99;
  EXPECT_FALSE(apply(empty, {"", {put(s)}, {}}));
  Weapon w{Uid::random(), "Bow", WeaponType::bow, 0, 30, {20, 10}};
  EXPECT_FALSE(apply(empty, {"", {put(w)}, {}}));
  Settings settings;
  settings.time_zone = "Nowhere/City";
  EXPECT_FALSE(apply(empty, {"", {put(settings)}, {}}));
}

TEST(Apply, RefusesSettingsOutOfBounds) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const auto fits = [](const auto& change) {
    Settings s;
    change(s);
    return static_cast<bool>(apply(Document{}, {"Set", {put(s)}, {}}));
  };
  EXPECT_TRUE(fits([](Settings&) {}));
  EXPECT_TRUE(fits([](Settings& s) { s.stability = 0; }));
  EXPECT_TRUE(fits([](Settings& s) { s.stability = 5; }));
  for (const int odd : {-1, 6, 7}) EXPECT_FALSE(fits([&](Settings& s) { s.stability = odd; }));
  for (const double odd : {-0.1, 101.0, nan})
    EXPECT_FALSE(fits([&](Settings& s) { s.scent_limit = odd; })) << odd;
  for (const double odd : {-1.0, 720.0, nan})
    EXPECT_FALSE(fits([&](Settings& s) { s.hand_wind.from_deg = odd; })) << odd;
  for (const double odd : {-1.0, 121.0, nan})
    EXPECT_FALSE(fits([&](Settings& s) { s.hand_wind.speed_mps = odd; })) << odd;
  for (const double odd : {-1.0, 40.0, nan})
    EXPECT_FALSE(fits([&](Settings& s) { s.hand_wind.cloud = odd; })) << odd;
  for (const int odd : {9, 1441}) EXPECT_FALSE(fits([&](Settings& s) { s.sit_minutes = odd; }));
}

TEST(Apply, RemovingAForecastTakesItsHours) {
  Forecast f{Uid::random(), "x", {}};
  WindHour h;
  h.uid = Uid::random();
  h.forecast = f.uid;
  h.speed_mps = 3;
  const auto doc = apply(Document{}, {"", {put(f), put(h)}, {}});
  ASSERT_TRUE(doc);
  const auto gone = apply(*doc, {"", {Remove{f.uid}}, {}});
  ASSERT_TRUE(gone);
  EXPECT_TRUE(gone->wind_hours->empty());
}

TEST(Apply, OfEachHourTheNewestForecastIsInForceAndOlderOnesStay) {
  const Instant noon = *parse_iso8601("2026-11-14T12:00:00Z");
  const auto forecast = [&](const char* name, int issued_h, int from_h, int until_h) {
    Forecast f{Uid::from_seed(name), name, noon, noon + std::chrono::hours(issued_h)};
    EditStep step{name, {put(f)}, {}};
    for (int h = from_h; h < until_h; ++h) {
      if (h == 30) continue;  // an hour that is missing stays so
      WindHour hour;
      hour.uid = Uid::from_seed(std::string(name) + std::to_string(h));
      hour.forecast = f.uid;
      hour.at = noon + std::chrono::hours(h);
      step.edits.push_back(put(hour));
    }
    return step;
  };
  const auto first = apply(Document{}, forecast("Friday", 0, 0, 48));
  ASSERT_TRUE(first);
  EXPECT_EQ(first->wind_hours, first->stored_hours);
  const auto both = apply(*first, forecast("Saturday", 24, 24, 60));
  ASSERT_TRUE(both);
  EXPECT_EQ(both->stored_hours->size(), 47U + 35U);
  ASSERT_EQ(both->wind_hours->size(), 59U);
  for (const auto& h : *both->wind_hours)
    EXPECT_EQ(h->forecast,
              Uid::from_seed(h->at < noon + std::chrono::hours(24) ? "Friday" : "Saturday"));
  EXPECT_EQ(newest_forecast(*both)->source, "Saturday");
  EXPECT_EQ(hours_to_come(*both).front()->at, noon + std::chrono::hours(24));
  const auto gone = apply(*both, {"", {Remove{Uid::from_seed("Saturday")}}, {}});
  ASSERT_TRUE(gone);
  EXPECT_EQ(gone->wind_hours->size(), 47U);
  // One that came later but was made earlier does not push out a newer one.
  const auto late = apply(*both, forecast("Thursday", -24, 0, 60));
  ASSERT_TRUE(late);
  EXPECT_EQ(late->wind_hours->size(), 59U);
}

TEST(Apply, ChangingTheKindOfAFeatureMovesItsRow) {
  Feature f = make_feature(Kind::bedding, Shape::area({{0, 0}, {5, 0}, {5, 5}}));
  const auto a = apply(Document{}, {"", {put(f)}, {}});
  ASSERT_TRUE(a);
  f.attrs = default_attributes(Kind::food);
  const auto b = apply(*a, {"", {put(f)}, {}});
  ASSERT_TRUE(b);
  EXPECT_TRUE(b->of(Kind::bedding).empty());
  EXPECT_EQ(b->of(Kind::food).size(), 1U);
}

TEST(History, UndoesRedoesAndMergesADrag) {
  Document d;
  History history(make_ref<Document>(d));
  Feature s = stand_at(0, 0);
  const auto step = [&](double x, const char* label, const char* key) {
    s.shape = Shape::point({x, 0});
    history.push(label, make_ref<Document>(*apply(*history.now(), {label, {put(s)}, {}})), key);
  };
  step(0, "Add stand", "");
  step(1, "Move stand", "drag");
  step(2, "Move stand", "drag");
  step(3, "Move stand", "drag");
  history.seal();
  EXPECT_EQ(history.undo_label(), "Move stand");
  const auto before = history.now();
  const auto undone = history.undo();
  EXPECT_EQ(undone->find(s.uid)->shape.position().x, 0);  // the whole drag is one step
  EXPECT_GT(undone->revision, before->revision);
  const auto redone = history.redo();
  EXPECT_TRUE(same_content(*redone, *before));
  EXPECT_GT(redone->revision, undone->revision);
  history.undo();
  history.undo();
  EXPECT_FALSE(history.can_undo());
  EXPECT_TRUE(same_content(*history.now(), d));
}

TEST(Months, ReadWriteAndWrapTheYear) {
  EXPECT_EQ(MonthSet::range(9, 1).str(), "1,9,10,11,12");
  EXPECT_EQ(MonthSet::parse("1,9,10,11,12"), MonthSet::range(9, 1));
  EXPECT_FALSE(MonthSet::parse("13"));
  EXPECT_FALSE(MonthSet::parse("x"));
}

TEST(Gaps, RoundTripAsText) {
  const std::vector<Gap> gaps = {{120.25, 6}, {240, 4.5}};
  EXPECT_EQ(gaps_from_text(gaps_to_text(gaps)), gaps);
  EXPECT_FALSE(gaps_from_text("12"));
  EXPECT_FALSE(gaps_from_text("12:-1"));
}

TEST(Kinds, EveryKindHasATableAndDefaultAttributesOfItsOwn) {
  for (const KindInfo& k : all_kinds()) {
    EXPECT_EQ(kind_from_table(k.table), k.kind);
    EXPECT_EQ(default_attributes(k.kind).index(), static_cast<size_t>(k.kind));
  }
}

}  // namespace
}  // namespace leeward
