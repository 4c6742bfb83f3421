#include "ui/print/contours.h"

#include "ui/render/hatch.h"
#include "ui/render/isolines.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>

#include <algorithm>
#include <array>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kCell_mm = 0.7;  // of the smoothed ground, on paper
constexpr double kApart_mm = 2.2;
constexpr double kLabelsApart_mm = 70;
constexpr int kSmoothings = 2;

// One pass of (1 2 1)/4 both ways over known neighbours.
Raster<float> smoothed(const Raster<float>& in) {
  Raster<float> out = in;
  for (int r = 0; r < in.spec.rows; ++r) {
    for (int c = 0; c < in.spec.cols; ++c) {
      if (std::isnan(in.at(c, r))) continue;
      double sum = 0, weights = 0;
      for (int dr = -1; dr <= 1; ++dr) {
        for (int dc = -1; dc <= 1; ++dc) {
          if (!in.spec.has(c + dc, r + dr) || std::isnan(in.at(c + dc, r + dr))) continue;
          const double w = (2 - std::abs(dr)) * (2 - std::abs(dc));
          sum += w * static_cast<double>(in.at(c + dc, r + dr));
          weights += w;
        }
      }
      out.at(c, r) = static_cast<float>(sum / weights);
    }
  }
  return out;
}

// Metres of rise a metre, the median over the raster.
double medianSlope(const Raster<float>& z) {
  std::vector<double> slopes;
  for (int r = 0; r + 1 < z.spec.rows; r += 2) {
    for (int c = 0; c + 1 < z.spec.cols; c += 2) {
      const double dx = static_cast<double>(z.at(c + 1, r)) - static_cast<double>(z.at(c, r)),
                   dy = static_cast<double>(z.at(c, r + 1)) - static_cast<double>(z.at(c, r));
      const double slope = std::hypot(dx, dy) / z.spec.cell_m;
      if (!std::isnan(slope)) slopes.push_back(slope);
    }
  }
  if (slopes.empty()) return 0;
  const auto middle = slopes.begin() + static_cast<std::ptrdiff_t>(slopes.size() / 2);
  std::nth_element(slopes.begin(), middle, slopes.end());
  return *middle;
}

double roundInterval(double least, UnitSystem units) {
  static constexpr std::array<double, 8> kFeet = {5, 10, 20, 40, 100, 200, 400, 1000};
  static constexpr std::array<double, 8> kMetres = {1, 2, 5, 10, 20, 50, 100, 200};
  const auto& steps = units == UnitSystem::us ? kFeet : kMetres;
  for (const double s : steps)
    if (s >= least) return s;
  return steps.back();
}

QPen contourPen(const MapTransform& t, bool index) {
  // Opaque, as all long strokes on paper: see drawHaloText().
  QPen pen(mixed(QColor(0xFF6B4A2B), QColor(chrome::kLand), index ? 0.9 : 0.7),
           t.mm(index ? 0.32 : 0.16));
  pen.setJoinStyle(Qt::RoundJoin);
  return pen;
}

struct LabelSpot {
  QPointF at;
  double turn_deg = 0;  // upright, in (-90, 90]
};

LabelSpot spotOn(const QPolygonF& line, qsizetype i) {
  const QPointF d = line[std::min(i + 2, line.size() - 1)] - line[std::max<qsizetype>(i - 2, 0)];
  double deg = std::atan2(d.y(), d.x()) * kDegPerRad;
  if (deg > 90) deg -= 180;
  if (deg <= -90) deg += 180;
  return {line[i], deg};
}

}  // namespace

Contours contoursOf(const Raster<float>& ground, const Box& box, double denominator,
                    UnitSystem units) {
  Contours out;
  out.unit = units == UnitSystem::us ? "ft" : "m";
  if (ground.empty() || !ground.spec.box().overlaps(box)) return out;
  const double cell_m = std::max(ground.spec.cell_m, kCell_mm * denominator / 1000);
  const Box covered{std::max(box.min_x, ground.spec.west), std::max(box.min_y, ground.spec.south()),
                    std::min(box.max_x, ground.spec.east()),
                    std::min(box.max_y, ground.spec.north)};
  Raster<float> z = cell_means(ground, GridSpec::covering(covered, cell_m));
  for (int k = 0; k < kSmoothings; ++k) z = smoothed(z);
  const double unit_m = units == UnitSystem::us ? kMetresPerFoot : 1;
  out.interval = roundInterval(medianSlope(z) * kApart_mm * denominator / 1000 / unit_m, units);
  float low = std::numeric_limits<float>::infinity(), high = -low;
  for (const float v : z.cells)
    if (!std::isnan(v)) low = std::min(low, v), high = std::max(high, v);
  if (!(low <= high)) return out;
  const double step_m = out.interval * unit_m;
  for (int k = static_cast<int>(std::ceil(static_cast<double>(low) / step_m));
       k * step_m <= static_cast<double>(high); ++k) {
    for (Path& line : isolines(z, static_cast<float>(k * step_m)))
      if (path_length_m(line) > 4 * cell_m) out.lines.push_back({k, std::move(line)});
  }
  return out;
}

void drawContours(Page& page, const MapTransform& t, const Contours& contours) {
  QPainter& p = page.painter();
  p.setBrush(Qt::NoBrush);
  for (const bool index : {false, true}) {
    const QColor pale = mixed(QColor(chrome::kSheet), QColor(0xFF6B4A2B), 0.75);
    for (const Contour& c : contours.lines) {
      if (c.index() != index) continue;
      const QPolygonF line = t.toDevice(c.line);
      if (index) {
        p.setPen(QPen(pale, t.mm(0.5)));
        p.drawPolyline(line);
      }
      p.setPen(contourPen(t, index));
      p.drawPolyline(line);
    }
  }
}

void drawContourLabels(Page& page, const MapTransform& t, const Contours& contours,
                       LabelPlacer& labels) {
  QPainter& p = page.painter();
  const QFont font = page.font(5.6, true);
  const QFontMetricsF m(font, p.device());
  for (const Contour& c : contours.lines) {
    if (!c.index()) continue;
    const QString words = QString::number(c.step * contours.interval);
    const double w = m.horizontalAdvance(words) + t.mm(1), h = m.height();
    const QPolygonF line = t.toDevice(c.line);
    double since = t.mm(kLabelsApart_mm) * 0.6;
    for (qsizetype i = 1; i < line.size(); ++i) {
      const QPointF d = line[i] - line[i - 1];
      since += std::hypot(d.x(), d.y());
      if (since < t.mm(kLabelsApart_mm)) continue;
      const LabelSpot spot = spotOn(line, i);
      QTransform turn;
      turn.translate(spot.at.x(), spot.at.y());
      turn.rotate(spot.turn_deg);
      const QRectF box = turn.mapRect(QRectF(-w / 2, -h / 2, w, h));
      if (!labels.isFree(box)) continue;
      labels.take(box);
      p.save();
      p.setTransform(turn, true);
      drawHaloText(p, {-m.horizontalAdvance(words) / 2, (m.ascent() - m.descent()) / 2}, words,
                   font, QColor(0xFF52381F), t.mm(0.45));
      p.restore();
      since = 0;
    }
  }
}

}  // namespace leeward::ui
