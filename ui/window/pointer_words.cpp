#include "ui/window/pointer_words.h"

#include "core/compute/scent_plume.h"
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

QString pointerWords(const Frame& frame, const Terrain& terrain, const StandResult* stand,
                     UnitSystem units, LocalXY at) {
  const LonLat ll = frame.to_wgs84(at);
  const QString gap = QStringLiteral("    ");
  QString words = text(usng(ll, 5));
  words += gap + QStringLiteral("%1°, %2°").arg(ll.lat, 0, 'f', 5).arg(ll.lon, 0, 'f', 5);
  const float z = terrain.ground.empty() ? kUnknown : sample(terrain.ground, at);
  if (!std::isnan(z)) words += gap + text(height_text(static_cast<double>(z), units));
  const QString scent = stand ? scentWords(*stand, at) : QString();
  return scent.isEmpty() ? words : words + gap + scent;
}

}  // namespace leeward::ui
