#include "ui/render/overlays.h"

#include "core/eval/explain.h"
#include "ui/render/symbols.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QPainter>
#include <QPainterPath>

#include <cmath>
#include <set>

namespace leeward::ui {
namespace {

constexpr float kSeenEnough = 0.5F;

void drawRingPart(QPainter& p, const MapTransform& t, const Ring& ring, bool seen) {
  QPainterPath path;
  const size_t n = ring.points.size();
  const auto is_seen = [&](size_t i) {
    return i < ring.seen.size() && ring.seen[i] >= kSeenEnough;
  };
  for (size_t i = 0; i < n; ++i) {
    const size_t j = (i + 1) % n;
    if ((is_seen(i) && is_seen(j)) != seen) continue;
    const QPointF from = t.toDevice(ring.points[i]);
    if (path.isEmpty() || path.currentPosition() != from) path.moveTo(from);
    path.lineTo(t.toDevice(ring.points[j]));
  }
  if (path.isEmpty()) return;
  QColor pale(chrome::kSheet);
  pale.setAlpha(seen ? 200 : 110);
  p.setPen(QPen(pale, t.px(seen ? 3.6 : 2.4)));
  p.drawPath(path);
  QColor ink(chrome::kInk);
  ink.setAlpha(seen ? 255 : 150);
  p.setPen(QPen(ink, t.px(seen ? 1.5 : 0.9), seen ? Qt::SolidLine : Qt::DotLine));
  p.drawPath(path);
}

QPen wayPen(const QColor& colour, double width, bool out) {
  QPen pen(colour, width);
  pen.setJoinStyle(Qt::RoundJoin);
  pen.setCapStyle(out ? Qt::FlatCap : Qt::RoundCap);
  return pen;
}

/// Runs of one colour class along a way, so that dashes flow on over its many short pieces.
struct Run {
  QPolygonF line;
  double hazard = 0;
};
std::vector<Run> runsOf(const MapTransform& t, const Way& way) {
  std::vector<Run> runs;
  int last = -1;
  for (size_t i = 1; i < way.points.size(); ++i) {
    const double a =
        i - 1 < way.hazard_per_min.size() ? static_cast<double>(way.hazard_per_min[i - 1]) : 0;
    const double b = i < way.hazard_per_min.size() ? static_cast<double>(way.hazard_per_min[i]) : a;
    const double mean = (a + b) / 2;
    const int step = static_cast<int>(exposureShare(mean) * 12);
    if (step != last) {
      runs.push_back({QPolygonF{t.toDevice(way.points[i - 1])}, mean});
      last = step;
    }
    runs.back().line.append(t.toDevice(way.points[i]));
  }
  return runs;
}

void arrows(QPainter& p, const MapTransform& t, const Way& way) {
  const double step_m = 90 * t.metresPerPx();
  const double total = path_length_m(way.points);
  for (double at = step_m * 0.5; at < total; at += step_m) {
    const QPointF here = t.toDevice(point_along(way.points, at));
    const QPointF ahead = t.toDevice(point_along(way.points, std::min(total, at + step_m * 0.08)));
    const QPointF d = ahead - here;
    const double len = std::hypot(d.x(), d.y());
    if (len < 1e-6) continue;
    const QPointF f = d / len * t.px(5.5), s(-f.y() * 0.75, f.x() * 0.75);
    p.setPen(QPen(QColor(chrome::kSheet), t.px(1)));
    p.setBrush(QColor(chrome::kInk));
    p.drawPolygon(QPolygonF{here + f, here - f * 0.6 + s, here - f * 0.6 - s});
  }
}

}  // namespace

double wayWidthPx(double exposure_share) { return 2.2 + 3.6 * exposure_share; }

void drawRingLines(QPainter& painter, const MapTransform& t, const StandResult& stand) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setBrush(Qt::NoBrush);
  const Box seen = t.visible().grown(4 * t.metresPerPx());
  for (const Ring& ring : stand.rings) {
    if (!bounds(ring.points).overlaps(seen)) continue;
    if (ring.points.empty() || ring.range_m / t.metresPerPx() < kSymbolRadiusPx + 4) continue;
    drawRingPart(painter, t, ring, false);
    drawRingPart(painter, t, ring, true);
  }
  painter.restore();
}

void drawRingLabels(QPainter& painter, const MapTransform& t, const StandResult& stand,
                    UnitSystem units, LabelPlacer& placer) {
  std::set<long> labelled;
  const QFont font = fontOfPixels(t.type(type::kSmall), QFont::DemiBold);
  for (const Ring& ring : stand.rings) {
    if (ring.range_m / t.metresPerPx() < 24) continue;
    if (!labelled.insert(std::lround(ring.range_m * 10)).second) continue;
    for (const size_t place : {size_t{22}, size_t{158}, size_t{68}, size_t{112}, size_t{0}}) {
      if (place >= ring.points.size()) continue;
      if (placer.label(painter, t, t.toDevice(ring.points[place]), 0,
                       text(distance_text(ring.range_m, units)), font, QColor(chrome::kInk)))
        break;
    }
  }
}

void drawWay(QPainter& painter, const MapTransform& t, const Way& way, bool out) {
  if (way.points.size() < 2) return;
  if (!bounds(way.points).overlaps(t.visible().grown(8 * t.metresPerPx()))) return;
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setBrush(Qt::NoBrush);
  const std::vector<Run> runs = runsOf(t, way);
  const auto line = [&](const Run& run, const QColor& colour, double width) {
    QPen pen = wayPen(colour, width, out);
    if (out) pen.setDashPattern({t.px(9) / width, t.px(6) / width});
    painter.setPen(pen);
    painter.drawPolyline(run.line);
  };
  for (const Run& run : runs)
    line(run, QColor(chrome::kInk), t.px(wayWidthPx(exposureShare(run.hazard)) + 2.4));
  for (const Run& run : runs) {
    const double width = t.px(wayWidthPx(exposureShare(run.hazard)));
    line(run, exposureRamp().at(exposureShare(run.hazard)), width);
  }
  arrows(painter, t, way);
  painter.restore();
}

}  // namespace leeward::ui
