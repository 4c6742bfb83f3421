#include "ui/window/pointer_words.h"

#include "core/compute/scent_plume.h"
#include "core/compute/shot.h"
#include "core/eval/explain.h"
#include "ui/style/type.h"

#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kLeastShown = 0.001;

QString amount(double exposure) {
  return exposure < kLeastShown ? QStringLiteral("0") : QString::number(exposure, 'g', 2);
}

}  // namespace

QString scentWords(const StandResult& stand, LocalXY at) {
  if (!stand.plume) return {};
  const compute::ScentBand band = stand.plume->band_at(at);
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
                     LocalXY stand_at, UnitSystem units, LocalXY at) {
  const LonLat ll = frame.to_wgs84(at);
  const QString gap = QStringLiteral("    ");
  QString words = text(usng(ll, 5));
  words += gap + QStringLiteral("%1°, %2°").arg(ll.lat, 0, 'f', 5).arg(ll.lon, 0, 'f', 5);
  const float z = terrain.ground.empty() ? kUnknown : sample(terrain.ground, at);
  if (!std::isnan(z)) words += gap + text(height_text(static_cast<double>(z), units));
  if (!stand) return words;
  for (const QString& part :
       {shotWords(terrain, *stand, stand_at, units, at), scentWords(*stand, at)})
    if (!part.isEmpty()) words += gap + part;
  return words;
}

}  // namespace leeward::ui
