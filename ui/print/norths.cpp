#include "ui/print/norths.h"

#include "core/compute/geomagnetic.h"
#include "core/eval/explain.h"
#include "ui/style/type.h"

#include <cmath>

namespace leeward::ui {
namespace {

QString degrees(double deg, int places = 1) {
  return QString::number(std::abs(deg), 'f', places) + QStringLiteral("°");
}

QString sideOf(double deg, const char* positive, const char* negative) {
  return degrees(deg) + QLatin1Char(' ') + text(deg >= 0 ? positive : negative);
}

}  // namespace

Norths northsAt(const Frame& frame, LocalXY place, Instant date, double page_up_deg) {
  Norths n;
  n.date = date;
  n.page_up_deg = page_up_deg;
  n.convergence_deg = frame.convergence_deg(place);
  const LonLat at = frame.to_wgs84(place);
  const double year = compute::decimal_year(date);
  if (const auto field = compute::magnetic_field(at, 0, year)) {
    n.declination_deg = field->declination_deg;
    // Half a year to each side, or as far as the model goes.
    const double before = std::max(year - 0.5, compute::kMagneticEpoch_year),
                 after = std::min(year + 0.5, compute::kMagneticExpiry_year - 1e-6);
    const auto a = compute::magnetic_field(at, 0, before),
               b = compute::magnetic_field(at, 0, after);
    if (a && b && after > before)
      n.change_deg = wrap_180(b->declination_deg - a->declination_deg) / (after - before);
  }
  return n;
}

QString northWords(const Norths& n, const std::string& time_zone) {
  QString words;
  if (std::abs(n.page_up_deg) >= 0.05)
    words += QStringLiteral("The map's upper side points to grid bearing %1°. ")
                 .arg(wrap_360(n.page_up_deg), 0, 'f', 0);
  words += std::abs(n.convergence_deg) < 0.05
               ? QStringLiteral("True north (T) agrees with grid north (G) here. ")
               : QStringLiteral("True north (T) lies %1 of grid north (G). ")
                     .arg(sideOf(-n.convergence_deg, "east", "west"));
  const QString date = text(date_text(n.date, time_zone));
  if (!n.declination_deg) {
    return words +
           QStringLiteral(
               "Magnetic north is not given: %1 lies outside the years %2 to %3 of the model "
               "%4. Bearings on these pages are true.")
               .arg(date)
               .arg(compute::kMagneticEpoch_year, 0, 'f', 0)
               .arg(compute::kMagneticExpiry_year - 1, 0, 'f', 0)
               .arg(text(compute::kMagneticModel));
  }
  const double grid_to_compass = n.convergence_deg - *n.declination_deg;
  words += QStringLiteral("Magnetic north (M) on %1: %2 of true north (%3; moves %4 %5 a year). ")
               .arg(date, sideOf(*n.declination_deg, "east", "west"), text(compute::kMagneticModel),
                    degrees(n.change_deg, 2),
                    n.change_deg >= 0 ? QStringLiteral("east") : QStringLiteral("west"));
  words += QStringLiteral(
               "Compass bearing = bearing on the grid %1 %2. Angles of the mark are not "
               "to scale.")
               .arg(grid_to_compass >= 0 ? QStringLiteral("+") : QStringLiteral("−"),
                    degrees(grid_to_compass));
  return words;
}

}  // namespace leeward::ui
