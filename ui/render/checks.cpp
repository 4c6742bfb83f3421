#include "ui/render/checks.h"

#include "core/eval/deer.h"
#include "core/eval/explain.h"
#include "ui/render/symbols.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QObject>
#include <QPainter>
#include <QPainterPath>

#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kLeastWedgePx = 12;  // a shorter one lies under the symbol

QColor tint(int alpha) {
  QColor c(chrome::kInk);
  c.setAlpha(alpha);
  return c;
}

/// The wedge as it would be with nothing in the way.
QPolygonF wholeWedge(const MapTransform& t, LocalXY at, const CameraAttrs& a) {
  QPolygonF out{t.toDevice(at)};
  const int steps = std::max(4, static_cast<int>(a.field_of_view_deg / 4));
  for (int i = 0; i <= steps; ++i) {
    const double deg = a.facing_deg + a.field_of_view_deg * (static_cast<double>(i) / steps - 0.5);
    out << t.toDevice(moved(at, Bearing::degrees(deg), a.reach_m));
  }
  return out;
}

}  // namespace

void drawCameraView(QPainter& painter, const MapTransform& t, const CameraResult& camera,
                    const CameraAttrs& attrs) {
  if (camera.view.empty() || attrs.reach_m / t.metresPerPx() < kLeastWedgePx) return;
  Box around;
  around.add(camera.view.front());
  if (!around.grown(attrs.reach_m).overlaps(t.visible())) return;
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setBrush(Qt::NoBrush);
  QColor pale(chrome::kSheet);
  pale.setAlpha(150);
  const QPolygonF whole = wholeWedge(t, camera.view.front(), attrs), seen = t.toDevice(camera.view);
  if (camera.view_share < 0.995) {
    painter.setPen(QPen(pale, t.px(2.4)));
    painter.drawPolygon(whole);
    painter.setPen(QPen(tint(190), t.px(1), Qt::DotLine));
    painter.drawPolygon(whole);
  }
  painter.setPen(QPen(pale, t.px(3)));
  painter.drawPolygon(seen);
  painter.setPen(QPen(tint(220), t.px(1.1)));
  QColor light(chrome::kSheet);
  light.setAlpha(105);
  painter.setBrush(light);
  painter.drawPolygon(seen);
  painter.restore();
}

void drawScrapeLine(QPainter& painter, const MapTransform& t, const ScrapeLine& line) {
  if (line.along.size() < 2) return;
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setBrush(Qt::NoBrush);
  const auto stroke = [&](const QColor& colour, double width) {
    QPen pen(colour, t.px(width));
    pen.setCapStyle(Qt::FlatCap);
    pen.setJoinStyle(Qt::RoundJoin);
    painter.setPen(pen);
    painter.drawPolyline(t.toDevice(line.along));
    const double total = path_length_m(line.along);
    for (const LocalXY stop : line.stops) {
      const double at = nearest_on_path(line.along, stop).at_m;
      const QPointF a = t.toDevice(point_along(line.along, std::max(0.0, at - 1))),
                    b = t.toDevice(point_along(line.along, std::min(total, at + 1)));
      const QPointF along = (b - a) / std::max(1e-6, std::hypot(b.x() - a.x(), b.y() - a.y()));
      const QPointF across = QPointF(-along.y(), along.x()) * t.px(kSymbolRadiusPx + 5);
      painter.drawLine(t.toDevice(stop) - across, t.toDevice(stop) + across);
    }
  };
  QColor pale(chrome::kSheet);
  pale.setAlpha(230);
  stroke(pale, 6);
  stroke(QColor(chrome::kInk), 2);
  painter.restore();
}

void drawScrapeLineLabels(QPainter& painter, const MapTransform& t, const ScrapeLine& line,
                          UnitSystem units, LabelPlacer& placer) {
  const QFont font = fontOfPixels(t.type(type::kSmall), QFont::DemiBold);
  double at = 0;
  for (const double spacing : line.spacings_m) {
    const QPointF middle = t.toDevice(point_along(line.along, at + spacing / 2));
    at += spacing;
    if (spacing / t.metresPerPx() < 2 * kSymbolRadiusPx) continue;
    placer.label(painter, t, middle, 5, text(distance_text(spacing, units)), font,
                 QColor(chrome::kInk));
  }
}

void drawGapLabels(QPainter& painter, const MapTransform& t, const std::vector<GapUse>& gaps,
                   LabelPlacer& placer) {
  const QFont font = fontOfPixels(t.type(type::kSmall), QFont::DemiBold);
  for (const GapUse& g : gaps) {
    if (g.share < kLeastGapUse || !t.visible().contains(g.at)) continue;
    const int percent = 5 * static_cast<int>(std::lround(20 * g.share));
    placer.label(painter, t, t.toDevice(g.at), 9, QObject::tr("about %1 % of deer").arg(percent),
                 font, QColor(chrome::kInk));
  }
}

void drawMendSign(QPainter& painter, QPointF symbol, double unit) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  const QPointF at = symbol + QPointF(0.85, -0.85) * kSymbolRadiusPx * unit;
  const double r = 5.5 * unit;
  QPen pen(QColor(chrome::kSheet), 1.4 * unit);
  pen.setJoinStyle(Qt::RoundJoin);
  painter.setPen(pen);
  painter.setBrush(QColor(chrome::kAccent));
  painter.drawPolygon(QPolygonF{at + QPointF(0, -r), at + QPointF(0.95 * r, 0.7 * r),
                                at + QPointF(-0.95 * r, 0.7 * r)});
  painter.restore();
}

void drawViewsAndLines(QPainter& painter, const MapTransform& t, const Document& document,
                       const Results& results, bool scrapes, bool cameras) {
  if (cameras) {
    for (const CameraResult& c : results.cameras)
      if (const Ref<Feature> f = document.find(c.camera))
        drawCameraView(painter, t, c, f->as<CameraAttrs>());
  }
  if (scrapes) {
    for (const ScrapeLine& line : results.scrape_lines) drawScrapeLine(painter, t, line);
  }
}

void drawMendSigns(QPainter& painter, const MapTransform& t, const Document& document,
                   const Results& results, bool scrapes, bool cameras) {
  const auto sign = [&](const Uid& uid, const std::vector<Check>& checks) {
    const Ref<Feature> f = document.find(uid);
    if (!f || to_mend(checks) == 0) return;
    drawMendSign(painter, t.toDevice(f->shape.position()), t.devicePerPx());
  };
  if (cameras) {
    for (const CameraResult& c : results.cameras) sign(c.camera, c.checks);
  }
  if (scrapes) {
    for (const ScrapeResult& s : results.scrapes) sign(s.scrape, s.checks);
  }
}

}  // namespace leeward::ui
