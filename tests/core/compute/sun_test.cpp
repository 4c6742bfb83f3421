#include "core/compute/sun.h"

#include <gtest/gtest.h>

namespace leeward::compute {
namespace {

Instant at(const char* iso) { return *parse_iso8601(iso); }

// Meeus, Astronomical Algorithms, examples 25.a and 28.b (1992 October 13, 0h TD).
TEST(Sun, AgreesWithMeeusWorkedExample) {
  const SunTerms s = sun_terms(2448908.5);
  EXPECT_NEAR(s.apparent_longitude_deg, 199.90895, 2e-5);
  EXPECT_NEAR(s.declination_deg, -7.78507, 2e-4);
  EXPECT_NEAR(s.right_ascension_deg, 198.38083, 2e-4);
  EXPECT_NEAR(s.equation_of_time_min, 13.71, 0.01);
}

// Azimuth and geometric altitude; an independent ephemeris (astropy) agrees within 0.008 degrees.
TEST(Sun, StandsWhereAnEphemerisPutsIt) {
  const LonLat columbia{-92.3341, 38.9517};
  struct Row {
    const char* when;
    double azimuth, altitude;
  };
  for (const Row& r :
       {Row{"2025-11-15T13:30:00Z", 119.56, 5.684}, Row{"2025-11-15T18:00:00Z", 181.69, 32.35},
        Row{"2025-11-15T22:00:00Z", 237.33, 8.609}}) {
    const SunPosition p = sun_position(at(r.when), columbia);
    EXPECT_NEAR(p.azimuth_deg, r.azimuth, 0.02);
    EXPECT_NEAR(p.altitude_deg, r.altitude, 0.02);
  }
}

// Civil dawn, rise, set, dusk by the NOAA equations; an independent ephemeris (astropy) agrees
// within 0.05 min on all. Definition of rise and set: US Naval Observatory.
TEST(Sun, RisesAndSetsToTheMinute) {
  struct Row {
    LonLat place;
    const char* noon;
    int offset_h;
    int dawn, rise, set, dusk;  // minutes of local clock
  };
  const Row rows[] = {
      {{-89.4012, 43.0731}, "2025-11-22T18:00:00Z", -6, 388, 419, 988, 1019},
      {{-92.3341, 38.9517}, "2025-11-15T18:00:00Z", -6, 384, 412, 1015, 1044},
      {{-88.8184, 33.4504}, "2026-01-10T18:00:00Z", -6, 393, 420, 1026, 1053},
      {{-77.8600, 40.7934}, "2025-12-01T17:00:00Z", -5, 406, 437, 1004, 1035},
      {{-92.3341, 38.9517}, "2026-06-21T18:00:00Z", -5, 312, 344, 1238, 1270},
      {{-83.3576, 33.9519}, "2025-10-15T17:00:00Z", -4, 434, 459, 1139, 1164},
  };
  constexpr double kMinute = 1.0;
  for (const Row& r : rows) {
    const auto minute = [&](std::optional<Instant> t) {
      const auto local = t.value() + std::chrono::hours{r.offset_h};
      return static_cast<double>((local - std::chrono::floor<std::chrono::days>(local)).count()) /
             60.0;
    };
    EXPECT_NEAR(minute(sun_event(at(r.noon), r.place, kCivilZenithDeg, true)), r.dawn, kMinute);
    EXPECT_NEAR(minute(sun_event(at(r.noon), r.place, kRiseSetZenithDeg, true)), r.rise, kMinute);
    EXPECT_NEAR(minute(sun_event(at(r.noon), r.place, kRiseSetZenithDeg, false)), r.set, kMinute);
    EXPECT_NEAR(minute(sun_event(at(r.noon), r.place, kCivilZenithDeg, false)), r.dusk, kMinute);
  }
}

TEST(Sun, DoesNotRiseInThePolarNight) {
  EXPECT_FALSE(sun_event(at("2025-12-21T12:00:00Z"), {20, 72}, kRiseSetZenithDeg, true));
}

TEST(Sun, RefractionAtTheHorizonIsAboutHalfADegree) {
  EXPECT_NEAR(refraction_deg(0), 1735.0 / 3600, 1e-9);
  EXPECT_NEAR(refraction_deg(5.684), 0.145, 0.005);  // 5.684 geometric, 5.829 apparent (astropy)
}

}  // namespace
}  // namespace leeward::compute
