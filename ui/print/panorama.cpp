#include "ui/print/panorama.h"

#include "core/compute/horizon_sun.h"
#include "core/compute/shot.h"
#include "core/eval/explain.h"
#include "ui/print/column.h"
#include "ui/print/way_words.h"
#include "ui/render/labels.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kStep_deg = 360.0 / kPanoramaSteps;
constexpr double kRingsApart_deg = 2.5;
constexpr double kAxis_mm = 4.2;  // below the picture, for bearings
constexpr double kTag_pt = 6.2;

Panorama::Ring ringOf(const Terrain& terrain, LocalXY at, double eye_m, double range_m) {
  Panorama::Ring ring{range_m, {}};
  for (int i = 0; i < kPanoramaSteps; ++i) {
    const LocalXY p = moved(at, Bearing::degrees(i * kStep_deg), range_m);
    ring.depression_deg.push_back(compute::shot_line(terrain.ground, at, eye_m, p).depression_deg);
  }
  return ring;
}

// From bearings and angles to dots of the page.
struct View {
  QRectF box;  // dots
  double middle_deg, low_deg, high_deg;
  double x(double bearing_deg) const {
    return box.center().x() + wrap_180(bearing_deg - middle_deg) / 360 * box.width();
  }
  double y(double angle_deg) const {
    return box.bottom() - (std::clamp(angle_deg, low_deg, high_deg) - low_deg) /
                              (high_deg - low_deg) * box.height();
  }
};

View viewOf(const Panorama& p, const QRectF& box) {
  View v{box, p.facing.degrees(), -12, 10};
  for (const double a : p.horizon_deg) v.high_deg = std::max(v.high_deg, a + 8);
  for (const auto& m : p.marks) v.low_deg = std::min(v.low_deg, -m.depression_deg - 3);
  for (const auto& r : p.rings)
    for (const double a : r.depression_deg) v.low_deg = std::min(v.low_deg, -a - 2);
  v.low_deg = std::max(v.low_deg, -60.0);
  v.high_deg = std::min(v.high_deg, 45.0);
  return v;
}

// A curve over all bearings that begins at the picture's left edge.
QPainterPath curve(const View& v, const std::vector<double>& angle_deg, double sign) {
  QPainterPath path;
  for (int k = 0; k <= kPanoramaSteps; ++k) {
    const double off_deg = -180 + k * kStep_deg;
    const double place = wrap_360(v.middle_deg + off_deg) / kStep_deg;
    const size_t i = static_cast<size_t>(place) % angle_deg.size(), j = (i + 1) % angle_deg.size();
    const double share = place - std::floor(place);
    const double a = sign * ((1 - share) * angle_deg[i] + share * angle_deg[j]);
    const QPointF at(v.box.left() + (off_deg + 180) / 360 * v.box.width(), v.y(a));
    k == 0 ? path.moveTo(at) : path.lineTo(at);
  }
  return path;
}

void drawAxis(Page& page, const View& v, const Norths& norths) {
  QPainter& p = page.painter();
  const double right_of_grid = norths.compassDeg(Bearing());
  const double y_mm = v.box.bottom() / page.dots(1);
  for (int deg = 0; deg < 360; deg += 30) {
    const double x = v.x(deg - right_of_grid);
    if (x < v.box.left() + page.dots(3) || x > v.box.right() - page.dots(3)) continue;
    p.setPen(QPen(inkColour(), page.dots(0.2)));
    p.drawLine(QPointF(x, v.box.bottom()), QPointF(x, v.box.bottom() + page.dots(0.9)));
    static constexpr const char* kCardinal[] = {"N", "E", "S", "W"};
    const bool cardinal = deg % 90 == 0;
    page.line(x / page.dots(1) - 6, y_mm + 0.9, 12,
              cardinal ? text(kCardinal[deg / 90]) : bearingWords(deg), kTag_pt,
              cardinal ? inkColour() : softColour(), cardinal, Qt::AlignHCenter);
  }
}

// Numbers in discs at their places; one that would lie on another moves off, on a leader line.
void drawMarks(Page& page, const View& v, const std::vector<Panorama::Mark>& marks) {
  QPainter& p = page.painter();
  const double r = page.dots(1.7) * page.typeScale();
  std::vector<QPointF> places, discs;
  for (const Panorama::Mark& m : marks) {
    const QPointF place(std::clamp(v.x(m.toward.degrees()), v.box.left() + r, v.box.right() - r),
                        v.y(-m.depression_deg));
    QPointF at(place.x(), std::clamp(place.y(), v.box.top() + r, v.box.bottom() - r));
    const auto taken = [&] {
      return std::any_of(discs.begin(), discs.end(), [&](QPointF d) {
        return std::hypot(d.x() - at.x(), d.y() - at.y()) < 2.15 * r;
      });
    };
    // Out from its place, upward first.
    for (int step = 1; taken() && step < 60; ++step) {
      const double turn = -kPi / 2 + step * kPi / 5, away = 0.42 * r * step;
      at = {std::clamp(place.x() + away * std::cos(turn), v.box.left() + r, v.box.right() - r),
            std::clamp(place.y() + away * std::sin(turn), v.box.top() + r, v.box.bottom() - r)};
    }
    places.push_back(place);
    discs.push_back(at);
  }
  p.setPen(QPen(inkColour(), page.dots(0.25)));
  p.setBrush(inkColour());
  for (size_t i = 0; i < marks.size(); ++i) {
    p.drawLine(places[i], discs[i]);
    p.drawEllipse(places[i], page.dots(0.45), page.dots(0.45));
  }
  p.setFont(page.font(6.4, true));
  p.setBrush(QColor(chrome::kSheet));
  for (size_t i = 0; i < marks.size(); ++i) {
    p.drawEllipse(discs[i], r, r);
    p.drawText(QRectF(discs[i].x() - 2 * r, discs[i].y() - 2 * r, 4 * r, 4 * r), Qt::AlignCenter,
               QString::number(i + 1));
  }
}

}  // namespace

Panorama panoramaOf(const Document& d, const Terrain& terrain, const StandResult& stand) {
  Panorama out;
  const Ref<Feature> f = d.find(stand.stand);
  if (!f) return out;
  const LocalXY at = f->shape.position();
  out.facing = Bearing::degrees(f->as<StandAttrs>().facing_deg);
  out.horizon_deg.assign(kPanoramaSteps, 0);
  if (const auto horizon = compute::terrain_horizon(terrain.ground, at, stand.eye_m)) {
    out.ground_known = true;
    for (int i = 0; i < kPanoramaSteps; ++i)
      out.horizon_deg[static_cast<size_t>(i)] = horizon->at(Bearing::degrees(i * kStep_deg));
  }
  std::vector<double> ranges;
  for (const Ring& r : stand.rings) ranges.push_back(r.range_m);
  std::sort(ranges.begin(), ranges.end());
  for (const double range : ranges) {
    Panorama::Ring ring = ringOf(terrain, at, stand.eye_m, range);
    const auto mean = [](const Panorama::Ring& r) {
      double sum = 0;
      for (const double a : r.depression_deg) sum += a;
      return sum / kPanoramaSteps;
    };
    if (out.rings.empty() || mean(out.rings.back()) - mean(ring) >= kRingsApart_deg)
      out.rings.push_back(std::move(ring));
  }
  for (const InReach& r : stand.in_reach) {
    if (r.kind == Kind::camera || out.marks.size() == kPanoramaMarks) continue;
    const Ref<Feature> mark = d.find(r.feature);
    if (!mark) continue;
    const LocalXY there = moved(at, r.bearing, r.nearest_m);
    out.marks.push_back(
        {text(display_name(*mark)), r.bearing,
         compute::shot_line(terrain.ground, at, stand.eye_m, there, 0).depression_deg,
         r.nearest_m});
  }
  return out;
}

void drawPanorama(Page& page, const QRectF& box_mm, const Panorama& view, const Norths& norths,
                  UnitSystem units) {
  if (view.horizon_deg.empty()) return;
  QPainter& p = page.painter();
  const QRectF picture = page.rect(box_mm.adjusted(0, 0, 0, -kAxis_mm * page.typeScale()));
  const View v = viewOf(view, picture);
  p.save();
  p.setClipRect(picture);
  p.fillRect(picture, Qt::white);
  const QPainterPath horizon = curve(v, view.horizon_deg, 1);
  QPainterPath land = horizon;
  land.lineTo(picture.bottomRight());
  land.lineTo(picture.bottomLeft());
  land.closeSubpath();
  p.fillPath(land, QColor::fromRgb(chrome::kLand));
  p.setBrush(Qt::NoBrush);
  p.setPen(QPen(inkColour(), page.dots(0.5)));
  p.drawPath(horizon);
  const QFont font = page.font(kTag_pt, true);
  for (const Panorama::Ring& r : view.rings) {
    p.setPen(QPen(softColour(), page.dots(0.25), Qt::DashLine));
    p.drawPath(curve(v, r.depression_deg, -1));
  }
  for (size_t k = 0; k < view.rings.size(); ++k) {
    const Panorama::Ring& r = view.rings[k];
    const double off_mm = 1 + 8 * page.typeScale() * static_cast<double>(k);  // a stair of labels
    const double place =
        wrap_360(v.middle_deg - 180 + 360 * page.dots(off_mm) / v.box.width()) / kStep_deg;
    const double y = v.y(-r.depression_deg[static_cast<size_t>(place) % kPanoramaSteps]);
    drawHaloText(p, {picture.left() + page.dots(off_mm), y - page.dots(0.3)},
                 text(distance_text(r.range_m, units)), font, inkColour(), page.dots(0.4));
  }
  drawMarks(page, v, view.marks);
  p.restore();
  p.setBrush(Qt::NoBrush);
  p.setPen(QPen(inkColour(), page.dots(0.25)));
  p.drawRect(picture);
  const double tip = page.dots(1.6);
  p.setBrush(inkColour());
  p.drawPolygon(QPolygonF{{QPointF(v.box.center().x(), picture.top() + tip),
                           QPointF(v.box.center().x() - tip / 2, picture.top()),
                           QPointF(v.box.center().x() + tip / 2, picture.top())}});
  drawAxis(page, v, norths);
}

}  // namespace leeward::ui
