#include "ui/window/pointer_words.h"

#include "core/compute/scent_plume.h"
#include "core/compute/shot.h"
#include "core/eval/explain.h"
#include "ui/style/type.h"

#include <QObject>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kLeastShown = 0.001;

QString amount(double exposure) {
  return exposure < kLeastShown ? QStringLiteral("0") : QString::number(exposure, 'g', 2);
}

QString placeWords(LonLat ll, Readout readout) {
  switch (readout) {
    case Readout::grid:
      return text(usng(ll, 5));
    case Readout::degrees:
      return QStringLiteral("%1°, %2°").arg(ll.lat, 0, 'f', 5).arg(ll.lon, 0, 'f', 5);
    case Readout::utm:
      return text(utm_text(ll));
  }
  return {};
}

}  // namespace

QString slopeWords(const Terrain& terrain, LocalXY at) {
  if (terrain.ground.empty()) return {};
  const double d = std::max(2.0, terrain.ground.spec.cell_m);
  const auto z = [&](double x, double y) {
    return static_cast<double>(sample(terrain.ground, LocalXY{at.x + x, at.y + y}));
  };
  const double rise = std::hypot(z(d, 0) - z(-d, 0), z(0, d) - z(0, -d)) / (2 * d);
  if (std::isnan(rise)) return {};
  return QObject::tr("slope %1°").arg(std::atan(rise) * kDegPerRad, 0, 'f', 0);
}

QString scentWords(const StandResult& stand, LocalXY at) {
  if (!stand.scent) return {};
  const compute::ScentBand band = stand.scent->band_at(at);
  if (band.high < kLeastShown) return QStringLiteral("scent under 0.001");
  return QStringLiteral("scent %1 (%2 to %3)")
      .arg(amount(band.exposure), amount(band.low), amount(band.high));
}

QString shotWords(const Terrain& terrain, const StandResult& stand, LocalXY from, UnitSystem units,
                  LocalXY at) {
  if (!stand.sight || !stand.sight->spec.box().contains(at) || distance_m(from, at) < 1) return {};
  const compute::ShotLine line = compute::shot_line(terrain.ground, from, stand.eye_m, at);
  const double seen = stand.sight->value_or(at, 0) / 255.0;
  return QStringLiteral("to here %1, slant %2, %3, %4")
      .arg(text(distance_text(line.horizontal_m, units)), text(distance_text(line.slant_m, units)),
           text(slope_text(line.depression_deg)),
           seen >= 0.5   ? QStringLiteral("seen")
           : seen >= 0.1 ? QStringLiteral("seen through cover")
                         : QStringLiteral("hidden"));
}

QString pointerWords(const Frame& frame, const Terrain& terrain, const StandResult* stand,
                     LocalXY stand_at, UnitSystem units, LocalXY at, Readout readout) {
  const QString gap = QStringLiteral("    ");
  QString words = placeWords(frame.to_wgs84(at), readout);
  const float z = terrain.ground.empty() ? kUnknown : sample(terrain.ground, at);
  if (!std::isnan(z)) words += gap + text(height_text(static_cast<double>(z), units));
  if (const QString slope = slopeWords(terrain, at); !slope.isEmpty()) words += gap + slope;
  if (!stand) return words;
  for (const QString& part :
       {shotWords(terrain, *stand, stand_at, units, at), scentWords(*stand, at)})
    if (!part.isEmpty()) words += gap + part;
  return words;
}

}  // namespace leeward::ui
