#include "core/compute/geomagnetic.h"

#include "core/compute/wmm2025.h"

#include <array>
#include <chrono>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr int kDegree = 12;
constexpr double kReference_m = 6371200;  // of the model's potential
constexpr double kWgs84A_m = 6378137, kWgs84Flattening = 1 / 298.257223563;

struct Spherical {
  double sine = 0, cosine = 1;  // of the geocentric latitude
  double radius_m = kReference_m;
  double tilt_rad = 0;  // geocentric minus geodetic latitude
};

Spherical geocentric(double latitude_rad, double height_m) {
  const double e2 = kWgs84Flattening * (2 - kWgs84Flattening);
  const double s = std::sin(latitude_rad), c = std::cos(latitude_rad);
  const double curvature_m = kWgs84A_m / std::sqrt(1 - e2 * s * s);
  const double across_m = (curvature_m + height_m) * c;
  const double up_m = (curvature_m * (1 - e2) + height_m) * s;
  const double radius_m = std::hypot(across_m, up_m);
  return {up_m / radius_m, across_m / radius_m, radius_m,
          std::atan2(up_m, across_m) - latitude_rad};
}

using Table = std::array<std::array<double, kDegree + 1>, kDegree + 1>;

// Schmidt semi-normalised associated Legendre functions of the sine of latitude, and their
// derivatives by latitude.
void legendre(const Spherical& at, Table& p, Table& dp) {
  p[0][0] = 1;
  dp[0][0] = 0;
  for (int n = 1; n <= kDegree; ++n) {
    for (int m = 0; m < n; ++m) {
      const double root = std::sqrt(static_cast<double>(n * n - m * m));
      const double before =
          n - 1 > m ? std::sqrt(static_cast<double>((n - 1) * (n - 1) - m * m)) : 0;
      const double p2 = n - 1 > m ? p[n - 2][m] : 0, dp2 = n - 1 > m ? dp[n - 2][m] : 0;
      p[n][m] = ((2 * n - 1) * at.sine * p[n - 1][m] - before * p2) / root;
      dp[n][m] =
          ((2 * n - 1) * (at.cosine * p[n - 1][m] + at.sine * dp[n - 1][m]) - before * dp2) / root;
    }
    const double k = n == 1 ? 1 : std::sqrt(1 - 0.5 / n);
    p[n][n] = k * at.cosine * p[n - 1][n - 1];
    dp[n][n] = k * (at.cosine * dp[n - 1][n - 1] - at.sine * p[n - 1][n - 1]);
  }
}

}  // namespace

std::optional<MagneticField> magnetic_field(LonLat wgs84, double height_m, double year) {
  if (!(year >= kMagneticEpoch_year && year < kMagneticExpiry_year)) return std::nullopt;
  const Spherical at = geocentric(wgs84.lat * kRadPerDeg, height_m);
  if (!(at.cosine > 1e-9)) return std::nullopt;
  Table p{}, dp{};
  legendre(at, p, dp);
  const double years = year - kMagneticEpoch_year, lon = wgs84.lon * kRadPerDeg;
  double north = 0, east = 0, down = 0;
  for (const GaussRow& row : kWmm2025) {
    const double g = row.g + years * row.dg, h = row.h + years * row.dh;
    const double c = std::cos(row.m * lon), s = std::sin(row.m * lon);
    const double ratio = std::pow(kReference_m / at.radius_m, row.n + 2);
    north -= ratio * (g * c + h * s) * dp[row.n][row.m];
    east += ratio * row.m * (g * s - h * c) * p[row.n][row.m] / at.cosine;
    down -= ratio * (row.n + 1) * (g * c + h * s) * p[row.n][row.m];
  }
  const double x = north * std::cos(at.tilt_rad) - down * std::sin(at.tilt_rad);
  const double z = north * std::sin(at.tilt_rad) + down * std::cos(at.tilt_rad);
  const double horizontal = std::hypot(x, east);
  return MagneticField{std::atan2(east, x) * kDegPerRad, std::atan2(z, horizontal) * kDegPerRad,
                       horizontal};
}

double decimal_year(Instant at) {
  using namespace std::chrono;
  const auto year_of = year_month_day(floor<days>(at)).year();
  const Instant first = sys_days(year_of / January / 1),
                next = sys_days((year_of + years(1)) / January / 1);
  return static_cast<int>(year_of) +
         static_cast<double>((at - first).count()) / static_cast<double>((next - first).count());
}

}  // namespace leeward::compute
