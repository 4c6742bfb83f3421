#include "ui/render/season_rose.h"

#include "ui/style/palette.h"

#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kHub = 0.12;       // of the radius, left free for the stand's symbol
constexpr double kHalfPetal = 8.5;  // degrees

QPainterPath petal(QPointF middle, double from_px, double to_px, double deg) {
  QPainterPath out;
  const auto at = [&](double r, double a) {
    return middle + QPointF(std::sin(a * kRadPerDeg), -std::cos(a * kRadPerDeg)) * r;
  };
  out.moveTo(at(from_px, deg - kHalfPetal));
  for (int k = -4; k <= 4; ++k) out.lineTo(at(to_px, deg + k * kHalfPetal / 4));
  out.lineTo(at(from_px, deg + kHalfPetal));
  out.closeSubpath();
  return out;
}

}  // namespace

void drawSeasonRose(QPainter& painter, QPointF middle, double radius_px, double north_deg,
                    const Season& season, const SeasonStand& stand) {
  const int most = *std::max_element(season.from.begin(), season.from.end());
  if (most <= 0) return;
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  const QColor ink(chrome::kInk), sheet(chrome::kSheet);
  const double hub = kHub * radius_px;
  for (std::size_t k = 0; k < season.from.size(); ++k) {
    if (season.from[k] == 0) continue;
    const double deg = 22.5 * static_cast<double>(k) + north_deg;
    const double length = (radius_px - hub) * season.from[k] / most;
    painter.strokePath(petal(middle, hub, hub + length, deg), QPen(sheet, 3));  // over timber
    painter.setBrush(sheet);
    painter.setPen(QPen(ink, 1));
    painter.drawPath(petal(middle, hub, hub + length, deg));
    if (stand.share[k] > 0)
      painter.fillPath(petal(middle, hub, hub + length * std::min(1.0, stand.share[k]), deg), ink);
  }
  painter.restore();
}

}  // namespace leeward::ui
