// What the tests of io share: a folder of their own, a document that holds every kind of row,
// bytes.
#pragma once

#include "core/io/property_store.h"
#include "core/model/edit.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

namespace leeward::io::testing {

namespace fs = std::filesystem;

/// A folder that is gone when the test ends.
class Folder {
 public:
  Folder() : path_(fs::temp_directory_path() / ("leeward-test-" + Uid::random().str())) {
    fs::create_directories(path_);
  }
  ~Folder() {
    std::error_code ec;
    fs::permissions(path_, fs::perms::owner_all, ec);
    fs::remove_all(path_, ec);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  fs::path operator/(const std::string& name) const { return path_ / name; }
  const fs::path& path() const { return path_; }

 private:
  fs::path path_;
};

inline std::string bytes_of(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}
inline void write_bytes(const fs::path& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}

/// The folder of real data, or empty where it is absent.
inline fs::path shared_data() {
  const fs::path data = fs::path(LEEWARD_SHARED_DIR) / "data";
  return fs::is_directory(data) ? data : fs::path();
}
#define SKIP_WITHOUT_SHARED_DATA()                 \
  if (leeward::io::testing::shared_data().empty()) \
  GTEST_SKIP() << "the folder of real data is absent"

inline Path ring(double x, double y, double w, double h) {
  return {{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}};
}

/// Sets every attribute to something other than its default.
struct Unusual {
  int n = 0;
  void operator()(std::string& v) {
    v = "text ; with, 'quotes' and \xC3\xA9 " + std::to_string(++n);
  }
  void operator()(double& v) { v = 0.1 + 1.0 / 3.0 + ++n; }
  void operator()(int& v) { v = 20 + ++n % 4; }
  void operator()(bool& v) { v = !v; }
  void operator()(MonthSet& v) { v = MonthSet::range(11, 2); }
  void operator()(std::vector<Gap>& v) { v = {{10.0 / 3, 2.5}, {40, 1.0 / 7}}; }
  void operator()(std::vector<Uid>& v) { v = {Uid::from_seed("bow"), Uid::from_seed("rifle")}; }
  template <class E>
  requires std::is_enum_v<E>
  void operator()(E& v) { v = EnumWords<E>::words.back().first; }
};

inline Feature unusual_feature(Kind kind, Shape shape, const std::string& name) {
  Feature f = make_feature(kind, std::move(shape), name);
  f.uid = Uid::from_seed(name);
  f.remarks = "remarks of " + name;
  std::visit(
      [](auto& attrs) {
        using A = std::remove_cvref_t<decltype(attrs)>;
        Unusual unusual;
        A::fields(
            [&](const char*, auto member, const char*, const char*) { unusual(attrs.*member); });
      },
      f.attrs);
  return f;
}

inline Settings unusual_settings() {
  Settings s;
  s.name = "Two oaks \"north\" part";
  s.time_zone = "America/New_York";
  s.crs = "EPSG:26917";
  s.units = UnitSystem::metric;
  s.legal_before_sunrise_min = 30;
  s.sit_minutes = 200;
  s.use_hand_wind = true;
  s.hand_wind = {12.5, 1.0 / 3, 0.7};
  s.stability = 4;
  s.scent_limit = 0.1 + 1.0 / 3;
  s.surroundings_drawn = true;
  s.deer_pace_mps = 1.0 / 3;
  s.glare_within_deg = 31.7;
  s.settle_min = 17;
  s.safety_check_months = 9;
  s.pick_up = s.beyond_boundary = true;
  s.constants = {{"scent_per_min", 1.0 / 3}, {"sight_per_min", 0.2}};
  s.curves = {{"food evening", {{-2.5, 0.1}, {1.0 / 3, 0.7}}}};
  s.rut = {{"peak; \"main\"", "2026-11-08", "2026-11-16", 2.25}};
  s.layout.paper = PaperSize::a3;
  s.layout.landscape = true;
  s.layout.scale_denominator = 5000;
  s.layout.centre = LocalXY{684900.1, 5017900.7};
  s.layout.trade = Trade::careful;
  s.layout.aerial = false;
  s.layout.hour = Instant(std::chrono::seconds(1794000000));
  s.layout.custom_width_mm = 300.5, s.layout.custom_height_mm = 410.25;
  s.layout.turned_deg = -31.5, s.layout.contours = false;
  s.layout.look = PrintLook::red_light, s.layout.large_type = true;
  s.pace_m = 0.7 + 1.0 / 30;
  s.emergency = {LocalXY{684901.3, 5017901.9}, "by the \"oak\"", "Ranger: 555 0100\nHome: 555 0101",
                 "18:30", "the neighbour"};
  return s;
}

inline void add_tables(EditStep& step) {
  Weapon bow{Uid::from_seed("bow"), "Bow", WeaponType::bow, 0, 27.432, {9.144, 18.288, 27.432}};
  Weapon rifle{Uid::from_seed("rifle"), "Rifle", WeaponType::rifle, 10, 200.1, {}};
  rifle.max_travel_m = 4827.9;
  rifle.setback_m = {152.4, std::nullopt, 0.0, 1.0 / 3, 7.5, 20.0};
  step.edits.push_back(put(bow));
  step.edits.push_back(put(rifle));
  RasterLayer dem{
      Uid::from_seed("dem"), "Ground", "maps/ground.tif", RasterRole::elevation, 0.25, 3, false,
      kMetresPerUsSurveyFoot};
  step.edits.push_back(put(dem));
  Forecast forecast{Uid::from_seed("fc"), "hourly.json (NWS)",
                    Instant(std::chrono::seconds(1794000123))};
  forecast.issued = Instant(std::chrono::seconds(1793990000));
  step.edits.push_back(put(forecast));
  Visit visit{Uid::from_seed("visit"), VisitType::recovery,
              Instant(std::chrono::seconds(1794000600)), Uid::from_seed("stand 1")};
  visit.entered = {Uid::from_seed("bed"), Uid::from_seed("quiet")};
  visit.who = "a guest", visit.remarks = "with a dog";
  step.edits.push_back(put(visit));
  for (int h = 0; h < 3; ++h) {
    WindHour hour;
    hour.uid = Uid::from_seed("hour " + std::to_string(h));
    hour.forecast = forecast.uid;
    hour.at = Instant(std::chrono::seconds(1794002400 + 3600 * h));
    if (h > 0) hour.from_deg = 123.4 + h, hour.speed_mps = h / 3.0, hour.cloud = 0.1 * h;
    if (h == 2) hour.speed_range_mps = 2.5, hour.gust_mps = 11.25, hour.temperature_c = -3.5;
    step.edits.push_back(put(hour));
  }
}

/// At least one row of every table, every shape a kind may have, no attribute at its default.
inline Document full_document() {
  EditStep step{"All", {}, {}};
  step.edits.push_back(put(unusual_settings()));
  const double x0 = 684700.0 + 1.0 / 3, y0 = 5017700.0 + 1.0 / 7;
  for (const KindInfo& kind : all_kinds()) {
    const double x = x0 + 40 * static_cast<double>(kind.kind), y = y0;
    if (kind.point) {
      step.edits.push_back(put(
          unusual_feature(kind.kind, Shape::point({x, y}), std::string(kind.table) + " point")));
    }
    if (kind.line) {
      step.edits.push_back(put(
          unusual_feature(kind.kind, Shape::line({{x, y}, {x + 10.5, y + 20}, {x + 70, y + 21.25}}),
                          std::string(kind.table) + " line")));
    }
    if (kind.area) {
      Shape area = Shape::area(ring(x, y, 30, 25));
      area.parts.push_back(ring(x + 5, y + 5, 4, 4));  // a hole
      step.edits.push_back(
          put(unusual_feature(kind.kind, std::move(area), std::string(kind.table) + " area")));
    }
  }
  add_tables(step);
  auto made = apply(Document{}, step);
  EXPECT_TRUE(made) << (made ? "" : made.error().message);
  return made ? *made : Document{};
}

inline void make_file(const fs::path& path, const Document& document) {
  auto store = PropertyStore::create(path, make_ref<Document>(document));
  ASSERT_TRUE(store) << store.error().message;
}

inline Document edited(const Document& before, std::vector<Edit> edits) {
  auto next = apply(before, {"Edit", std::move(edits), {}});
  EXPECT_TRUE(next) << (next ? "" : next.error().message);
  return next ? *next : before;
}

}  // namespace leeward::io::testing
