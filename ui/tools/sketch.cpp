#include "ui/tools/sketch.h"

#include "core/eval/explain.h"
#include "core/geo/carve.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"
#include "ui/tools/plate.h"

#include <QKeyEvent>
#include <QLineF>
#include <QPainter>
#include <QPainterPath>

#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kAngleStep_deg = 15;
constexpr double kFreehandAfterPx = 8;  // a click may shake
constexpr double kFreehandStepPx = 3;
constexpr double kFreehandWithinPx = 1.5;

double unitLength_m(UnitSystem units) { return units == UnitSystem::us ? 3 * kMetresPerFoot : 1; }

}  // namespace

std::optional<TypedEdge> parseEdge(const QString& text, UnitSystem units) {
  const QStringList parts =
      text.trimmed().replace(QLatin1Char(','), QLatin1Char('.')).split(QLatin1Char('/'));
  if (parts.size() > 2) return std::nullopt;
  TypedEdge out;
  const auto number = [](const QString& word, double most) -> std::optional<double> {
    bool good = false;
    const double v = word.toDouble(&good);
    return good && v >= 0 && v <= most ? std::optional(v) : std::nullopt;
  };
  if (!parts[0].trimmed().isEmpty()) {
    const auto v = number(parts[0], 1e6);
    if (!v || *v == 0) return std::nullopt;
    out.length_m = *v * unitLength_m(units);
  }
  if (parts.size() == 2 && !parts[1].trimmed().isEmpty()) {
    out.true_deg = number(parts[1], 360);
    if (!out.true_deg) return std::nullopt;
  }
  if (!out.length_m && !out.true_deg) return std::nullopt;
  return out;
}

Sketch::Sketch(EditSession& session, MapView& map, bool snaps)
    : session_(session), map_(map), snaps_(snaps) {}

LocalXY Sketch::typedAim(LocalXY toward) const {
  const auto typed = parseEdge(entry_, session_.document()->settings->units);
  if (!typed || vertices_.empty()) return toward;
  const LocalXY from = vertices_.back();
  const Bearing way = typed->true_deg
                          ? Bearing::degrees(*typed->true_deg - session_.convergenceDeg())
                          : bearing(from, toward);
  const LocalXY unit{way.east(), way.north()};
  return from + unit * typed->length_m.value_or(std::max(0.0, dot(toward - from, unit)));
}

LocalXY Sketch::angled(LocalXY toward) const {
  const LocalXY from = vertices_.back();
  const double base =
      vertices_.size() > 1 ? bearing(vertices_[vertices_.size() - 2], from).degrees() : 0;
  const double turn = bearing(from, toward).degrees() - base;
  const Bearing way = Bearing::degrees(base + std::round(turn / kAngleStep_deg) * kAngleStep_deg);
  const LocalXY unit{way.east(), way.north()};
  return from + unit * std::max(0.0, dot(toward - from, unit));
}

LocalXY Sketch::aim(const Pointer& p) {
  const MapTransform& t = map_.transform();
  snap_.reset();
  pointer_ = p.at;
  if (typing()) return typedAim(p.at);
  if ((p.modifiers & Qt::ShiftModifier) && !vertices_.empty()) return angled(p.at);
  if (p.modifiers & Qt::ControlModifier) return p.at;
  if (vertices_.size() > 2 &&
      QLineF(t.toDevice(vertices_.front()), p.px).length() <= t.px(kReachPx))
    return vertices_.front();
  if (!snaps_) return p.at;
  snap_ = snapAt(*session_.document(), t, map_.view().kinds, p.px);
  return snap_ ? snap_->at : p.at;
}

bool Sketch::press(const Pointer& p) {
  const LocalXY at = aim(p);
  pressed_ = true;
  pressed_px_ = p.px;
  if (vertices_.size() > 2 && at == vertices_.front()) return true;
  addVertex(at);
  entry_.clear();
  return false;
}

void Sketch::addVertex(LocalXY at) {
  const MapTransform& t = map_.transform();
  if (!vertices_.empty() && QLineF(t.toDevice(vertices_.back()), t.toDevice(at)).length() < t.px(2))
    return;  // the second press of a double click
  vertices_.push_back(at);
  ahead_ = at;
  map_.repaintTools();
}

void Sketch::move(const Pointer& p, bool dragging) {
  const MapTransform& t = map_.transform();
  if (dragging && pressed_ && !(p.modifiers & Qt::ShiftModifier)) {
    if (!freehand_from_ && !vertices_.empty() &&
        QLineF(pressed_px_, p.px).length() > kFreehandAfterPx)
      freehand_from_ = vertices_.size() - 1;
    if (freehand_from_ &&
        QLineF(t.toDevice(vertices_.back()), p.px).length() > t.px(kFreehandStepPx))
      vertices_.push_back(p.at);
  }
  ahead_ = aim(p);
  map_.repaintTools();
}

void Sketch::release() {
  pressed_ = false;
  if (!freehand_from_) return;
  const auto from = vertices_.begin() + static_cast<std::ptrdiff_t>(*freehand_from_);
  if (snap_ && snap_->at != vertices_.back()) vertices_.push_back(snap_->at);
  const double within_m = kFreehandWithinPx * map_.transform().metresPerPx();
  const Path simple = simplified(
      Path(vertices_.begin() + static_cast<std::ptrdiff_t>(*freehand_from_), vertices_.end()),
      within_m);
  vertices_.erase(from, vertices_.end());
  vertices_.insert(vertices_.end(), simple.begin(), simple.end());
  freehand_from_.reset();
  map_.repaintTools();
}

bool Sketch::typeKey(const QKeyEvent& event) {
  static const QString kTypes = QStringLiteral("0123456789.,/");
  const QString typed = event.text();
  if (vertices_.empty() || typed.size() != 1 || !kTypes.contains(typed)) return false;
  if (entry_.size() < 16) entry_ += typed;
  return true;
}

bool Sketch::key(const QKeyEvent& event) {
  bool used = true;
  if (typeKey(event)) {
    // taken
  } else if (typing() && event.key() == Qt::Key_Escape) {
    entry_.clear();
  } else if (typing() && (event.key() == Qt::Key_Return || event.key() == Qt::Key_Enter)) {
    if (parseEdge(entry_, session_.document()->settings->units)) {
      const LocalXY at = typedAim(pointer_);
      entry_.clear();
      addVertex(at);
    } else {
      map_.showHint(QObject::tr("Type a length, a length/bearing or a /bearing: 120, 120/45, /45"));
    }
  } else if (event.key() == Qt::Key_Backspace || event.key() == Qt::Key_Delete) {
    if (typing()) {
      entry_.chop(1);
    } else if (!vertices_.empty()) {
      vertices_.pop_back();
    }
  } else {
    used = false;
  }
  if (!used) return false;
  if (typing()) {
    snap_.reset();
    ahead_ = typedAim(pointer_);
  }
  map_.repaintTools();
  return true;
}

void Sketch::clear() {
  vertices_.clear();
  ahead_.reset();
  snap_.reset();
  entry_.clear();
  freehand_from_.reset();
  pressed_ = false;
  map_.repaintTools();
}

QString Sketch::measure(bool closed) const {
  Path path = vertices_;
  if (ahead_ && !drawsFreehand()) path.push_back(*ahead_);
  if (path.size() < 2) return {};
  const UnitSystem units = session_.document()->settings->units;
  const LocalXY from = path[path.size() - 2], to = path.back();
  QString edge;
  if (!drawsFreehand() && distance_m(from, to) > 0) {
    const double deg = wrap_360(bearing(from, to).degrees() + session_.convergenceDeg());
    edge = QObject::tr("%1 at %2°")
               .arg(text(distance_text(distance_m(from, to), units)))
               .arg(std::fmod(std::round(deg), 360), 0, 'f', 0);
  }
  QString all;
  if (closed && path.size() > 2) {
    const Shape outline = Shape::area(path);
    all = QObject::tr("%1, %2 around")
              .arg(text(area_text(area_m2(outline), units)),
                   text(distance_text(length_m(outline), units)));
  } else if (path.size() > 2) {
    all = QObject::tr("%1 in all").arg(text(distance_text(path_length_m(path), units)));
  }
  return all.isEmpty() ? edge : edge.isEmpty() ? all : edge + QStringLiteral("   ") + all;
}

void Sketch::paint(QPainter& painter, bool closed) const {
  const MapTransform& t = map_.transform();
  Path path = vertices_;
  if (ahead_ && !vertices_.empty() && !drawsFreehand()) path.push_back(*ahead_);
  QPainterPath line;
  line.addPolygon(t.toDevice(path));
  if (closed && path.size() > 2) line.closeSubpath();
  painter.setBrush(Qt::NoBrush);
  painter.setPen(QPen(QColor(chrome::kSheet), 4));
  painter.drawPath(line);
  painter.setPen(QPen(QColor(chrome::kAccent), 2, Qt::DashLine));
  painter.drawPath(line);
  painter.setBrush(QColor(chrome::kSheet));
  painter.setPen(QPen(QColor(chrome::kAccent), 1.6));
  if (!drawsFreehand()) {
    for (const LocalXY v : vertices_)
      painter.drawRect(QRectF(t.toDevice(v) - QPointF(3.5, 3.5), QSizeF(7, 7)));
  }
  if (!ahead_) return;
  std::vector<PlateLine> lines;
  if (typing()) {
    const bool us = session_.document()->settings->units == UnitSystem::us;
    lines.push_back(
        {QObject::tr("%1▏%2 / true bearing").arg(entry_, us ? QObject::tr("yd") : QObject::tr("m")),
         theme().accent});
  }
  if (const QString size = measure(closed); !size.isEmpty()) lines.push_back({size, theme().ink});
  if (snap_) {
    drawSnap(painter, t, *snap_);
    lines.push_back({snapWords(*session_.document(), *snap_), theme().accent});
  }
  drawPlate(painter, t.toDevice(*ahead_), lines);
}

}  // namespace leeward::ui
