#include "ui/render/features.h"

#include "ui/render/hatch.h"
#include "ui/render/labels.h"
#include "ui/render/symbols.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

QPen pen(const QColor& colour, double width, Qt::PenStyle style = Qt::SolidLine) {
  QPen p(colour, width, style);
  p.setJoinStyle(Qt::RoundJoin);
  p.setCapStyle(style == Qt::SolidLine ? Qt::RoundCap : Qt::FlatCap);
  return p;
}

Qt::PenStyle penStyle(LineLook look) {
  switch (look) {
    case LineLook::dashed:
      return Qt::DashLine;
    case LineLook::dash_dot:
      return Qt::DashDotLine;
    case LineLook::dotted:
      return Qt::DotLine;
    case LineLook::solid:
    case LineLook::twin:
      break;
  }
  return Qt::SolidLine;
}

/// Pale casing that sets a line off from a picture underneath.
void casing(QPainter& p, const QPainterPath& path, double width) {
  QColor pale(chrome::kSheet);
  pale.setAlpha(190);
  p.setBrush(Qt::NoBrush);
  p.setPen(pen(pale, width));
  p.drawPath(path);
}

void stroke(QPainter& p, const QPainterPath& path, const QPen& with) {
  p.setBrush(Qt::NoBrush);
  p.setPen(with);
  p.drawPath(path);
}

/// Calls fn(place, bearing_rad of the device direction) every `step` device units along a line.
template <class Fn>
void alongLine(const QPolygonF& line, double step, Fn fn) {
  double next = step / 2;
  for (qsizetype i = 1; i < line.size(); ++i) {
    const QPointF d = line[i] - line[i - 1];
    const double len = std::hypot(d.x(), d.y());
    while (next <= len && len > 0) {
      fn(line[i - 1] + d * (next / len), std::atan2(d.y(), d.x()));
      next += step;
    }
    next -= len;
  }
}

void chevron(QPainter& p, QPointF at, double angle_rad, double size) {
  const QPointF ahead(std::cos(angle_rad), std::sin(angle_rad)), side(-ahead.y(), ahead.x());
  p.drawPolyline(QPolygonF{at - ahead * size + side * size, at + ahead * size * 0.4,
                           at - ahead * size - side * size});
}

void drawArea(QPainter& p, const MapTransform& t, const Feature& f, FeatureLook look) {
  const KindStyle s = styleOf(f);
  const QPainterPath path = devicePath(t, f.shape);
  if (s.fill.isValid()) p.fillPath(path, s.fill);
  QColor ink = s.line;
  const int alpha = f.kind() == Kind::sanctuary ? 150 : 190;
  if (look.vector)
    ink = mixed(ink, QColor(chrome::kSheet), alpha / 255.0);
  else
    ink.setAlpha(alpha);
  fillHatched(p, t, path, s.hatch, ink, look.vector);
  const double w = t.px(s.width_px + (look.selected ? 1 : 0));
  casing(p, path, w + t.px(2.4));
  if (look.selected) stroke(p, path, pen(QColor(chrome::kAccent), w + t.px(3)));
  stroke(p, path, pen(s.line, w, penStyle(s.look)));
}

void drawTrail(QPainter& p, const MapTransform& t, const Feature& f) {
  const auto& a = f.as<DeerTrailAttrs>();
  const KindStyle s = styleOf(f);
  const QPainterPath path = devicePath(t, f.shape);
  const double use = a.use == TrailUse::light ? 1.3 : a.use == TrailUse::moderate ? 2.2 : 3.4;
  casing(p, path, t.px(use + 2.4));
  stroke(p, path, pen(s.line, t.px(use)));
  const double size = t.px(3 + use * 0.5);
  p.setPen(pen(s.line, t.px(1.4)));
  p.setBrush(QColor(chrome::kSheet));
  alongLine(t.toDevice(f.shape.path()), t.px(46), [&](QPointF at, double angle) {
    if (a.direction == TrailDirection::both_ways) {
      p.drawEllipse(at, size * 0.62, size * 0.62);  // used both ways: a bead
    } else {
      const double turn = a.direction == TrailDirection::toward_end ? 0 : kPi;
      chevron(p, at, angle + turn, size);
    }
  });
}

/// What shows the type of a barrier every few pixels along it.
QPainterPath barrierMarks(const QPolygonF& line, BarrierType type, const MapTransform& t) {
  QPainterPath marks;
  const auto stroke_of = [&](QPointF from, QPointF to) {
    marks.moveTo(from);
    marks.lineTo(to);
  };
  alongLine(line, t.px(9), [&](QPointF at, double angle) {
    const QPointF ahead(std::cos(angle), std::sin(angle)), side(-ahead.y(), ahead.x());
    const double u = t.px(4);
    if (type == BarrierType::felled_trees) {
      stroke_of(at - ahead * u, at + side * u + ahead * u * 0.4);
      stroke_of(at - ahead * u, at - side * u + ahead * u * 0.4);
    } else if (type == BarrierType::fence) {
      stroke_of(at - side * u * 0.8 - ahead * u * 0.8, at + side * u * 0.8 + ahead * u * 0.8);
      stroke_of(at + side * u * 0.8 - ahead * u * 0.8, at - side * u * 0.8 + ahead * u * 0.8);
    } else {
      stroke_of(at, at + side * u * 1.3);
    }
  });
  return marks;
}

void drawBarrier(QPainter& p, const MapTransform& t, const Feature& f) {
  const auto& a = f.as<BarrierAttrs>();
  const KindStyle s = styleOf(f);
  for (const Path& part : standingParts(f.shape.path(), a.gaps)) {
    const QPolygonF line = t.toDevice(part);
    QPainterPath path = barrierMarks(line, a.type, t);
    path.addPolygon(line);
    casing(p, path, t.px(s.width_px + 2.4));
    stroke(p, path, pen(s.line, t.px(s.width_px)));
    p.setBrush(s.line);  // posts at both ends: an open gap reads as a gate in the wall
    for (const QPointF end : {line.front(), line.back()}) p.drawEllipse(end, t.px(2), t.px(2));
  }
}

void drawTwin(QPainter& p, const MapTransform& t, const Feature& f, double width_px) {
  const KindStyle s = styleOf(f);
  const QPainterPath path = devicePath(t, f.shape);
  stroke(p, path, pen(s.line, t.px(width_px + 2 * s.width_px)));
  QColor inside = s.fill;
  inside.setAlpha(255);
  stroke(p, path, pen(inside, t.px(width_px)));
}

void drawRoad(QPainter& p, const MapTransform& t, const Feature& f) {
  const bool open = f.as<RoadAttrs>().type == RoadType::public_road;
  drawTwin(p, t, f, open ? 4.4 : 2.2);
  if (open) stroke(p, devicePath(t, f.shape), pen(styleOf(f).line, t.px(0.8), Qt::DashLine));
}

void drawPath(QPainter& p, const MapTransform& t, const Feature& f) {
  const KindStyle s = styleOf(f);
  const QPainterPath path = devicePath(t, f.shape);
  const bool vehicle = f.as<HumanPathAttrs>().type == PathType::vehicle;
  casing(p, path, t.px(s.width_px + (vehicle ? 5 : 2.6)));
  if (vehicle) {
    stroke(p, path, pen(s.line, t.px(s.width_px + 2.6), Qt::DashLine));
    stroke(p, path, pen(QColor(chrome::kSheet), t.px(1.6)));
  } else {
    stroke(p, path, pen(s.line, t.px(s.width_px), Qt::DashLine));
  }
}

void drawLine(QPainter& p, const MapTransform& t, const Feature& f, FeatureLook look) {
  if (look.selected) stroke(p, devicePath(t, f.shape), pen(QColor(chrome::kAccent), t.px(8)));
  switch (f.kind()) {
    case Kind::deer_trail:
      return drawTrail(p, t, f);
    case Kind::barrier:
      return drawBarrier(p, t, f);
    case Kind::road:
      return drawRoad(p, t, f);
    case Kind::human_path:
      return drawPath(p, t, f);
    case Kind::shooting_lane:
      return drawTwin(p, t, f, std::max(1.6, f.as<ShootingLaneAttrs>().width_m / t.metresPerPx()));
    default:
      break;
  }
  const KindStyle s = styleOf(f);
  const double natural_px =
      f.kind() == Kind::water ? f.as<WaterAttrs>().width_m / t.metresPerPx() : 0;
  const QPainterPath path = devicePath(t, f.shape);
  const double w = t.px(std::max(s.width_px + 0.4, natural_px));
  casing(p, path, w + t.px(2));
  stroke(p, path, pen(s.line, w, penStyle(s.look)));
}

constexpr double kLongestNamePx = 220;  // of a label; a longer name ends in dots

struct Labelled {
  const Feature* feature;
  int weight;
};

int labelWeight(Kind kind) {
  switch (kind) {
    case Kind::stand:
      return 9;
    case Kind::gate:
      return 8;
    case Kind::dwelling:
    case Kind::mock_scrape:
      return 6;
    case Kind::sanctuary:
    case Kind::bedding:
    case Kind::food:
      return 5;
    case Kind::note:
    case Kind::camera:
      return 4;
    default:
      return 2;
  }
}

}  // namespace

QPainterPath devicePath(const MapTransform& t, const Shape& shape) {
  QPainterPath path;
  path.setFillRule(Qt::OddEvenFill);
  for (const Path& part : shape.parts) {
    path.addPolygon(t.toDevice(part));
    if (shape.type == ShapeType::area) path.closeSubpath();
  }
  return path;
}

std::vector<Path> standingParts(const Path& barrier, const std::vector<Gap>& gaps) {
  std::vector<std::pair<double, double>> open;
  for (const Gap& g : gaps) open.emplace_back(g.at_m - g.width_m / 2, g.at_m + g.width_m / 2);
  std::sort(open.begin(), open.end());
  const double total = path_length_m(barrier);
  const auto piece = [&](double from_m, double to_m) {
    Path out{point_along(barrier, from_m)};
    double at = 0;
    for (size_t i = 1; i + 1 < barrier.size(); ++i) {
      at += distance_m(barrier[i - 1], barrier[i]);
      if (at > from_m && at < to_m) out.push_back(barrier[i]);
    }
    out.push_back(point_along(barrier, to_m));
    return out;
  };
  std::vector<Path> parts;
  double from = 0;
  for (const auto& [begin, end] : open) {
    if (begin > from) parts.push_back(piece(from, std::min(begin, total)));
    from = std::max(from, end);
  }
  if (from < total) parts.push_back(piece(from, total));
  return parts;
}

void drawFeature(QPainter& painter, const MapTransform& t, const Feature& feature,
                 FeatureLook look) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  switch (feature.shape.type) {
    case ShapeType::area:
      drawArea(painter, t, feature, look);
      break;
    case ShapeType::line:
      drawLine(painter, t, feature, look);
      break;
    case ShapeType::point:
      drawSymbol(painter, feature.attrs, t.toDevice(feature.shape.position()), t.devicePerPx(),
                 look.selected, t.up_deg());
      break;
  }
  painter.restore();
}

void drawFeatures(QPainter& painter, const MapTransform& t, const Document& document, KindSet shown,
                  const Uid& selected, bool vector) {
  static constexpr std::array kOrder = {
      Kind::cover,      Kind::water,         Kind::food, Kind::bedding, Kind::sanctuary,
      Kind::boundary,   Kind::shooting_lane, Kind::road, Kind::barrier, Kind::deer_trail,
      Kind::human_path, Kind::dwelling,      Kind::note, Kind::camera,  Kind::mock_scrape,
      Kind::gate,       Kind::stand};
  static_assert(kOrder.size() == kKindCount);
  const Box visible = t.visible().grown(40 * t.metresPerPx());
  Ref<Feature> last;
  for (const Kind kind : kOrder) {
    if (!shown[static_cast<size_t>(kind)]) continue;
    for (const auto& f : document.of(kind)) {
      if (!bounds(f->shape).overlaps(visible)) continue;
      if (f->uid == selected) {
        last = f;
      } else {
        drawFeature(painter, t, *f, {false, vector});
      }
    }
  }
  if (last) drawFeature(painter, t, *last, {true, vector});
}

void takeSymbols(const MapTransform& t, const Document& document, KindSet shown,
                 LabelPlacer& placer) {
  const Box visible = t.toLocal(placer.inside());
  const QPointF half(t.px(11), t.px(11));
  for (const auto& rows : document.features)
    for (const auto& f : *rows)
      if (shown[static_cast<size_t>(f->kind())] && f->shape.type == ShapeType::point &&
          bounds(f->shape).overlaps(visible))
        placer.take(
            QRectF(t.toDevice(f->shape.position()) - half, t.toDevice(f->shape.position()) + half));
}

void drawFeatureLabels(QPainter& painter, const MapTransform& t, const Document& document,
                       KindSet shown, const Uid& selected, LabelPlacer& placer) {
  std::vector<Labelled> todo;
  const Box visible = t.toLocal(placer.inside());
  for (const auto& rows : document.features) {
    for (const auto& f : *rows) {
      const Kind kind = f->kind();
      if (!shown[static_cast<size_t>(kind)] || !bounds(f->shape).overlaps(visible)) continue;
      if (f->name.empty()) continue;
      todo.push_back({f.get(), f->uid == selected ? 100 : labelWeight(kind)});
    }
  }
  std::stable_sort(todo.begin(), todo.end(),
                   [](const Labelled& a, const Labelled& b) { return a.weight > b.weight; });
  for (const Labelled& l : todo) {
    const Feature& f = *l.feature;
    const bool strong = f.kind() == Kind::stand || f.uid == selected;
    const bool minor = l.weight <= 2;
    if (minor && length_m(f.shape) / t.metresPerPx() < 90) continue;  // too short for its name
    const double size = strong ? type::kStrong : minor ? type::kSmall : type::kLabel;
    const QFont font = fontOfPixels(t.type(size), strong ? QFont::Bold : QFont::DemiBold, minor);
    const QColor ink = f.shape.type == ShapeType::point ? QColor(chrome::kInk) : styleOf(f).line;
    const double clear_px = f.shape.type == ShapeType::point ? 13 : 0;
    const QString name = QFontMetricsF(font, painter.device())
                             .elidedText(text(f.name), Qt::ElideRight, t.type(kLongestNamePx));
    placer.label(painter, t, t.toDevice(anchor(f.shape)), clear_px, name, font, ink.darker(120));
  }
}

}  // namespace leeward::ui
