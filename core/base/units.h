// Angles, bearings and the display conversions. Core numbers are metres, seconds, radians or
// degrees as their suffix says; yards, feet, acres and mph exist only where text is made.
#pragma once

#include <cmath>
#include <compare>
#include <numbers>

namespace leeward {

inline constexpr double kPi = std::numbers::pi;
inline constexpr double kRadPerDeg = kPi / 180.0;
inline constexpr double kDegPerRad = 180.0 / kPi;
inline constexpr double kMetresPerYard = 0.9144;  // exact
inline constexpr double kMetresPerFoot = 0.3048;  // exact (international foot)
inline constexpr double kMetresPerUsSurveyFoot = 1200.0 / 3937.0;
inline constexpr double kMpsPerMph = 0.44704;  // exact
inline constexpr double kMpsPerKmh = 1.0 / 3.6;
inline constexpr double kMpsPerKnot = 1852.0 / 3600.0;
inline constexpr double kSquareMetresPerAcre = 4046.8564224;

/// Wraps any finite angle to [0, 360).
inline double wrap_360(double deg) {
  const double r = std::fmod(deg, 360.0);
  const double w = r < 0 ? r + 360.0 : r;
  return w >= 360.0 ? 0.0 : w;
}
/// Wraps any finite angle to (-180, 180].
inline double wrap_180(double deg) {
  const double w = wrap_360(deg);
  return w > 180.0 ? w - 360.0 : w;
}

/// Clockwise from grid north, always in [0, 360). Bearings have no order.
class Bearing {
 public:
  constexpr Bearing() = default;
  static Bearing degrees(double deg) { return Bearing(wrap_360(deg)); }
  static Bearing radians(double rad) { return degrees(rad * kDegPerRad); }
  /// Of the vector (east, north); zero vector gives 0.
  static Bearing of(double east, double north) {
    return (east == 0 && north == 0) ? Bearing() : radians(std::atan2(east, north));
  }
  double degrees() const { return deg_; }
  double radians() const { return deg_ * kRadPerDeg; }
  double east() const { return std::sin(radians()); }
  double north() const { return std::cos(radians()); }
  Bearing reversed() const { return degrees(deg_ + 180.0); }
  Bearing turned_deg(double clockwise_deg) const { return degrees(deg_ + clockwise_deg); }
  /// The shortest clockwise turn from `from` to `to`, in (-180, 180].
  friend double turn_deg(Bearing from, Bearing to) { return wrap_180(to.deg_ - from.deg_); }
  friend bool operator==(Bearing, Bearing) = default;

 private:
  explicit constexpr Bearing(double deg) : deg_(deg) {}
  double deg_ = 0;
};

/// Where the wind comes FROM, as forecasts say it, but as a grid bearing.
class WindFrom {
 public:
  constexpr WindFrom() = default;
  explicit WindFrom(Bearing source) : source_(source) {}
  Bearing source() const { return source_; }
  Bearing blows_toward() const { return source_.reversed(); }
  friend bool operator==(WindFrom, WindFrom) = default;

 private:
  Bearing source_;
};

}  // namespace leeward
