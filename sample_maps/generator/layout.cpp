#include "sample_maps/generator/layout.h"

#include "sample_maps/generator/land.h"
#include "sample_maps/generator/noise.h"

#include <algorithm>
#include <cstdio>

namespace leeward::demo {
namespace {

Uid id_of(const char* name) { return Uid::from_seed(std::string("demo ") + name); }

class Layout {
 public:
  Feature& add(Kind kind, Shape shape, const char* name) {
    Feature f = make_feature(kind, std::move(shape), name);
    f.uid = id_of(name);
    features.push_back(std::move(f));
    return features.back();
  }
  Feature& area(Kind kind, const char* name, std::initializer_list<LocalXY> ring) {
    return add(kind, Shape::area(line(ring)), name);
  }
  Feature& way(Kind kind, const char* name, std::initializer_list<LocalXY> path) {
    return add(kind, Shape::line(line(path)), name);
  }
  Feature& spot(Kind kind, const char* name, double x, double y) {
    return add(kind, Shape::point(at(x, y)), name);
  }

  void cover(const char* name, CoverType type, std::initializer_list<LocalXY> ring) {
    area(Kind::cover, name, ring).as<CoverAttrs>() = typical_cover(type);
  }
  StandAttrs& stand(const char* name, StandType type, double x, double y, double platform_m,
                    double facing_deg, const char* remarks) {
    Feature& f = spot(Kind::stand, name, x, y);
    f.remarks = remarks;
    auto& s = f.as<StandAttrs>();
    s.type = type;
    s.platform_m = platform_m;
    s.facing_deg = facing_deg;
    s.trimmed_radius_m = type == StandType::ground_blind ? 3 : 6;
    s.checked = "2026-08-22";
    return s;
  }
  void trail(const char* name, TrailUse use, std::initializer_list<LocalXY> path) {
    way(Kind::deer_trail, name, path).as<DeerTrailAttrs>().use = use;
  }

  std::vector<Feature> features;
};

void add_ground(Layout& l) {
  l.area(Kind::boundary, "Home ground",
         {{300, 330}, {930, 322}, {1900, 320}, {1905, 1880}, {1100, 1886}, {300, 1876}});
  l.cover("Ridge oaks", CoverType::hardwood,
          {{310, 470},
           {520, 640},
           {640, 760},
           {860, 880},
           {1040, 980},
           {1180, 1060},
           {1430, 1230},
           {1640, 1370},
           {1906, 1540},
           {1906, 1800},
           {1560, 1640},
           {1240, 1430},
           {980, 1260},
           {700, 1120},
           {480, 960},
           {297, 860}});
  l.cover("South slope", CoverType::mixed,
          {{520, 640},
           {640, 760},
           {860, 880},
           {1040, 980},
           {1180, 1060},
           {1430, 1230},
           {1640, 1370},
           {1906, 1540},
           {1906, 960},
           {1700, 840},
           {1500, 790},
           {1250, 760},
           {1050, 760},
           {900, 690},
           {760, 600},
           {640, 540}});
  l.cover("Cedar bench", CoverType::conifer,
          {{1180, 860}, {1330, 870}, {1400, 960}, {1340, 1030}, {1210, 1000}});
  l.cover("Creek brush", CoverType::brush,
          {{640, 540},
           {760, 600},
           {900, 690},
           {1050, 760},
           {1250, 760},
           {1500, 790},
           {1700, 840},
           {1906, 960},
           {1906, 640},
           {1700, 720},
           {1500, 700},
           {1300, 660},
           {1100, 690},
           {950, 620},
           {800, 500},
           {700, 420}});
  l.cover("Hinge-cut pocket", CoverType::hinge_cut,
          {{1060, 880}, {1150, 875}, {1165, 950}, {1090, 975}});
  l.cover("East point hinge cut", CoverType::hinge_cut,
          {{1580, 1130}, {1690, 1140}, {1700, 1220}, {1600, 1230}});
  l.cover("Switchgrass", CoverType::tall_grass,
          {{960, 1420}, {1160, 1510}, {1120, 1600}, {930, 1520}});
  l.cover("Standing corn", CoverType::standing_crop,
          {{360, 1360}, {640, 1330}, {700, 1560}, {400, 1600}});
  l.cover("South pines", CoverType::conifer, {{340, 360}, {520, 350}, {560, 430}, {400, 460}});
  l.area(Kind::sanctuary, "Quiet bench",
         {{1170, 850}, {1390, 850}, {1420, 1000}, {1300, 1060}, {1180, 1010}});
  l.add(Kind::water,
        Shape::line(line({{1895, 575},
                          {1760, 640},
                          {1540, 650},
                          {1320, 600},
                          {1120, 640},
                          {960, 560},
                          {820, 440},
                          {680, 335}})),
        "Stone creek")
      .as<WaterAttrs>() = {WaterType::creek, true, MonthSet::range(8, 12), 4, 1.6};
  l.area(Kind::water, "Mill pond",
         {{1580, 500}, {1660, 480}, {1720, 520}, {1690, 570}, {1600, 570}})
      .as<WaterAttrs>() = {WaterType::pond, false, MonthSet::all(), 3, 0};
  l.way(Kind::water, "Field ditch", {{700, 1700}, {900, 1640}, {1080, 1660}}).as<WaterAttrs>() = {
      WaterType::ditch, true, MonthSet::all(), 1.5, 0.8};
}

void add_deer(Layout& l) {
  l.area(Kind::bedding, "Hinge-cut bed", {{1068, 888}, {1145, 882}, {1158, 944}, {1095, 966}})
      .as<BeddingAttrs>()
      .group = DeerGroup::bucks;
  l.area(Kind::bedding, "East point bed", {{1590, 1140}, {1682, 1148}, {1692, 1214}, {1604, 1222}})
      .as<BeddingAttrs>()
      .group = DeerGroup::bucks;
  l.area(Kind::bedding, "Grass bed", {{975, 1440}, {1130, 1512}, {1105, 1580}, {950, 1515}})
      .as<BeddingAttrs>()
      .group = DeerGroup::does;
  l.area(Kind::bedding, "Creek bend bed",
         {{800, 520}, {880, 590}, {930, 650}, {850, 650}, {770, 575}})
      .as<BeddingAttrs>()
      .group = DeerGroup::does;
  const auto food = [&](const char* name, FoodType type, const char* crop,
                        std::initializer_list<LocalXY> ring) {
    auto& f = l.area(Kind::food, name, ring).as<FoodAttrs>();
    f.type = type;
    f.crop = crop;
  };
  food("North corn", FoodType::crop, "corn, cut in November",
       {{420, 1630}, {900, 1560}, {940, 1830}, {440, 1850}});
  food("Clover strip", FoodType::plot, "white clover",
       {{800, 1120}, {900, 1170}, {885, 1210}, {780, 1158}});
  food("Brassica corner", FoodType::plot, "turnip and rape",
       {{1420, 1640}, {1540, 1690}, {1520, 1770}, {1400, 1740}});
  food("Bottom alfalfa", FoodType::crop, "alfalfa",
       {{1000, 370}, {1480, 370}, {1470, 540}, {1320, 555}, {1130, 580}, {1020, 520}});
  food("Saddle acorns", FoodType::mast, "white oak",
       {{1240, 1240}, {1330, 1290}, {1300, 1350}, {1215, 1300}});
  l.trail("Bench to clover", TrailUse::heavy,
          {{1080, 950}, {1010, 1020}, {960, 1080}, {900, 1140}, {870, 1165}});
  l.trail("Clover to corn", TrailUse::moderate,
          {{850, 1180}, {790, 1280}, {720, 1420}, {700, 1590}});
  l.trail("Grass to corn", TrailUse::moderate, {{960, 1510}, {930, 1560}, {880, 1620}});
  l.trail("Saddle crossing", TrailUse::heavy,
          {{1290, 1060}, {1310, 1150}, {1290, 1250}, {1260, 1330}, {1160, 1460}});
  l.trail("East point to brassica", TrailUse::moderate,
          {{1640, 1225}, {1600, 1330}, {1540, 1470}, {1490, 1600}, {1470, 1660}});
  l.trail("Creek run", TrailUse::heavy,
          {{880, 640},
           {1010, 690},
           {1180, 715},
           {1400, 720},
           {1600, 760},
           {1720, 860},
           {1690, 1000},
           {1660, 1135}});
  l.trail("Down to alfalfa", TrailUse::moderate,
          {{1110, 880}, {1085, 780}, {1120, 690}, {1180, 560}});
}

void add_works(Layout& l) {
  l.way(Kind::road, "County road", {{0, 296}, {900, 290}, {2200, 284}}).as<RoadAttrs>().type =
      RoadType::public_road;
  l.way(Kind::road, "Yard drive", {{300, 1258}, {360, 1262}, {400, 1290}}).as<RoadAttrs>().type =
      RoadType::farm_road;
  l.way(Kind::human_path, "Field lane",
        {{302, 1262}, {420, 1300}, {700, 1310}, {860, 1400}, {1150, 1640}, {1390, 1780}})
      .as<HumanPathAttrs>()
      .type = PathType::vehicle;
  l.way(Kind::human_path, "Creek walk",
        {{1180, 324}, {1010, 350}, {985, 500}, {1010, 560}, {1020, 640}});
  l.way(Kind::human_path, "Ladder path", {{700, 1310}, {760, 1240}, {800, 1213}});
  l.way(Kind::human_path, "East path", {{1903, 1300}, {1800, 1320}, {1720, 1400}, {1630, 1440}});
  l.way(Kind::barrier, "Clover wall",
        {{740, 1090}, {790, 1060}, {850, 1062}, {930, 1098}, {990, 1150}})
      .as<BarrierAttrs>()
      .gaps = {{165, 7}};
  l.way(Kind::barrier, "Saddle wall", {{1180, 1230}, {1230, 1200}, {1290, 1190}, {1360, 1215}})
      .as<BarrierAttrs>()
      .gaps = {{118, 6}};
  auto& fence = l.way(Kind::barrier, "Pasture fence", {{304, 900}, {304, 1230}}).as<BarrierAttrs>();
  fence.type = BarrierType::fence;
  fence.height_m = 1.2;
  auto& cliff =
      l.way(Kind::barrier, "Ledge", {{1460, 1080}, {1500, 1130}, {1520, 1190}}).as<BarrierAttrs>();
  cliff.type = BarrierType::cliff;
  cliff.height_m = 5;
  l.way(Kind::shooting_lane, "Clover lane", {{800, 1213}, {840, 1168}});
  l.way(Kind::shooting_lane, "Saddle lane", {{1330, 1232}, {1288, 1248}});
  l.way(Kind::shooting_lane, "Gap lane", {{935, 1060}, {962, 1086}});
  l.area(Kind::dwelling, "Farmhouse", {{392, 1284}, {408, 1284}, {408, 1296}, {392, 1296}});
  l.spot(Kind::dwelling, "Neighbour", 1986, 700);
  l.spot(Kind::gate, "West gate", 302, 1262);
  l.spot(Kind::gate, "South gate", 1180, 324);
  l.spot(Kind::gate, "East gate", 1902, 1300);
  l.spot(Kind::note, "Loose bark here, mind the climb", 1548, 1452);
  l.spot(Kind::note, "Meeting point", 330, 1272);
}

void add_stands(Layout& l) {
  l.stand("Clover ladder", StandType::ladder, 800, 1213, 4.6, 140, "Two seats. Good for a guest.");
  l.stand("Gap saddle", StandType::saddle, 935, 1060, 6.5, 45, "");
  l.stand("Saddle stand", StandType::hang_on, 1332, 1232, 6.0, 290, "");
  l.stand("Creek hang-on", StandType::hang_on, 1012, 664, 6.0, 60, "");
  l.stand("Alfalfa blind", StandType::ground_blind, 1010, 545, 0.3, 90, "Chair inside.").meant_for =
      SitTime::evenings;
  l.stand("Corn tower", StandType::tower, 916, 1600, 4.0, 270, "").watch_only = true;
  l.stand("Brassica ladder", StandType::ladder, 1556, 1660, 4.6, 250, "");
  l.stand("East point stand", StandType::hang_on, 1630, 1440, 6.5, 200, "");
  l.stand("Switchgrass blind", StandType::ground_blind, 1190, 1610, 0.3, 230, "");
  l.stand("Bottom ladder", StandType::ladder, 1492, 552, 4.6, 300, "").checked = "2025-09-06";
}

// Some hang as they should; some want work: a stale one, one too high, one beside its trail, a
// camera that looks into the low sun, one inside bedding without a service window.
void add_scrapes(Layout& l) {
  const auto camera = [&](const char* name, double x, double y, double facing, double reach_m,
                          const char* battery, const char* card) -> CameraAttrs& {
    auto& a = l.spot(Kind::camera, name, x, y).as<CameraAttrs>();
    a.facing_deg = facing;
    a.reach_m = reach_m;
    a.battery_on = battery;
    a.card_on = card;
    return a;
  };
  camera("Clover camera", 858, 1186, 229, 25, "2026-09-20", "2026-10-31");
  camera("Saddle camera", 1300, 1270, 209, 25, "2026-10-04", "2026-10-25");
  camera("Creek camera", 1040, 704, 240, 20, "2026-08-15", "2026-10-11");
  camera("Corner camera", 1470, 1640, 20, 25, "2026-10-18", "2026-11-01");
  auto& bed = camera("Bed camera", 1120, 905, 25, 20, "2026-09-06", "2026-09-06");
  bed.service_months = MonthSet::range(2, 4);
  bed.height_m = 1.6;
  const auto scrape = [&](const char* name, double x, double y, const char* hung, const char* fresh,
                          const char* stand, const char* by) -> MockScrapeAttrs& {
    auto& a = l.spot(Kind::mock_scrape, name, x, y).as<MockScrapeAttrs>();
    a.hung = hung;
    a.refreshed = fresh;
    a.tie = "jute cord";
    a.stands = {id_of(stand)};
    if (by) a.cameras = {id_of(by)};
    return a;
  };
  scrape("Clover scrape", 842, 1172, "2026-08-30", "2026-11-03", "Clover ladder", "Clover camera");
  auto& gap = scrape("Gap scrape", 958, 1082.3, "2026-08-30", "2026-10-18", "Gap saddle", nullptr);
  gap.scent = ScrapeScent::preorbital;
  auto& saddle = scrape("Saddle scrape", 1289.4, 1252, "2026-09-06", "2026-11-08", "Saddle stand",
                        "Saddle camera");
  saddle.scent = ScrapeScent::preorbital;
  auto& creek = scrape("Creek scrape", 1024, 691.8, "2026-09-06", "2026-10-11", "Creek hang-on",
                       "Creek camera");
  creek.lower_end_m = 1.3;
  creek.limb_m = 2.6;
  scrape("Brassica scrape", 1488, 1606, "2026-09-13", "2026-11-01", "Brassica ladder", nullptr)
      .cleared_m = 0;
  // A line of three along the saddle's trail.
  scrape("Saddle north scrape", 1269.5, 1304.7, "2026-09-06", "2026-11-08", "Saddle stand", nullptr)
      .hanger = Hanger::rope;
  scrape("Saddle south scrape", 1306, 1170, "2026-09-06", "", "Saddle stand", nullptr);
}

}  // namespace

std::vector<Feature> make_features() {
  Layout l;
  add_ground(l);
  add_deer(l);
  add_works(l);
  add_stands(l);
  add_scrapes(l);
  return l.features;
}

std::vector<Weapon> make_weapons() {
  constexpr double yd = kMetresPerYard;
  const auto weapon = [](const char* seed, const char* name, WeaponType type, double outer_m,
                         std::vector<double> rings_m) {
    Weapon w;
    w.uid = Uid::from_seed(seed);
    w.name = name;
    w.type = type;
    w.outer_m = outer_m;
    w.rings_m = std::move(rings_m);
    return w;
  };
  std::vector<Weapon> out = {
      weapon("demo bow", "Compound bow", WeaponType::bow, 30 * yd, {10 * yd, 20 * yd, 30 * yd}),
      weapon("demo crossbow", "Crossbow", WeaponType::crossbow, 40 * yd, {20 * yd, 40 * yd}),
      weapon("demo muzzleloader", "Muzzleloader", WeaponType::muzzleloader, 100 * yd,
             {50 * yd, 100 * yd})};
  // What the demo's owner entered for two of them, invented: no rule of any place. The crossbow's
  // are still to be looked up. Dwelling, road, boundary, stand, gate, path.
  out[0].max_travel_m = 400 * yd;
  out[0].setback_m = {90 * yd, 40 * yd, 20 * yd, 20 * yd, 30 * yd, 0};
  out[2].max_travel_m = 1200 * yd;
  out[2].setback_m = {180 * yd, 90 * yd, 40 * yd, 40 * yd, 60 * yd, 10 * yd};
  return out;
}

std::vector<Visit> make_visits() {
  const auto visit = [](const char* seed, VisitType type, const char* at, const char* place,
                        std::vector<Uid> entered, const char* remarks) {
    Visit v;
    v.uid = Uid::from_seed(seed);
    v.type = type;
    v.at = *parse_iso8601(at);
    v.place = id_of(place);
    v.entered = std::move(entered);
    v.remarks = remarks;
    return v;
  };
  return {visit("demo sit 1", VisitType::sit, "2026-11-07T13:00:00Z", "Gap saddle", {}, ""),
          visit("demo sit 2", VisitType::sit, "2026-11-11T21:30:00Z", "Clover ladder", {},
                "Two does, one left early."),
          visit("demo cards", VisitType::camera, "2026-11-11T19:00:00Z", "Saddle camera", {}, ""),
          visit("demo search", VisitType::recovery, "2026-11-10T23:30:00Z", "Creek hang-on",
                {id_of("Creek bend bed")}, "A guest's doe, found by the creek.")};
}

Settings make_settings() {
  Settings s;
  s.name = "Tamber Hollow (demo)";
  s.time_zone = "America/Chicago";
  s.crs = "EPSG:32616";
  s.units = UnitSystem::us;
  s.legal_before_sunrise_min = 30;
  s.legal_after_sunset_min = 30;
  s.surroundings_drawn = true;
  s.safety_check_months = 12;
  s.rut = {{"Seeking", "2026-10-28", "2026-11-08", 1.5}, {"Peak", "2026-11-09", "2026-11-20", 2}};
  s.emergency.meeting = at(330, 1272);
  s.emergency.meeting_words = "By the farmhouse at the west gate; turn in and wait.";
  s.emergency.numbers = "Emergency: 911\nFarm house: 555 0142\nNeighbour east: 555 0177";
  s.emergency.due_back = "19:00";
  s.emergency.call_if_late = "Whoever is at the farm house calls each stand, then 911.";
  s.layout.hour = *parse_iso8601("2026-11-14T20:30:00Z");
  return s;
}

std::string make_forecast_csv() {
  std::string out = "time,wind_from_deg,wind_mph,gust_mph,cloud_pct,temp_f\n";
  const Instant start = *parse_iso8601("2026-11-12T06:00:00Z");
  double from = 205;
  for (int h = 0; h < 168; ++h) {
    // Two fronts pass: the wind backs to the south ahead of each, then swings to the north-west.
    const double phase = (h % 84) / 84.0;
    const double target = phase < 0.55 ? 190 + 30 * phase : 300 + 60 * (phase - 0.55);
    from += 0.16 * (target - from) + 6 * value_noise(h * 0.7, 0, kSeed + 30);
    const int local_hour = h % 24;
    const double by_day = std::exp(-std::pow((local_hour - 14) / 4.5, 2));
    const double front = std::exp(-std::pow((phase - 0.58) / 0.09, 2));
    const double mph = 2.5 + 5.5 * by_day + 9 * front + 1.2 * value_noise(h * 0.31, 5, kSeed + 31);
    const double cloud = 25 + 60 * front + 18 * value_noise(h * 0.13, 9, kSeed + 32);
    const double temp = 34 + 12 * by_day - 10 * phase + 3 * value_noise(h * 0.2, 2, kSeed + 33);
    char row[160];
    std::snprintf(row, sizeof row, "%s,%.0f,%.1f,%.1f,%.0f,%.0f\n",
                  to_iso8601(start + std::chrono::hours{h}).c_str(), wrap_360(from),
                  std::max(0.5, mph), std::max(0.5, mph) * (1.35 + 0.4 * front),
                  std::min(100.0, std::max(0.0, cloud)), temp);
    out += row;
  }
  return out;
}

}  // namespace leeward::demo
