#include "ui/tools/draw_tool.h"

#include "core/eval/explain.h"
#include "ui/render/labels.h"
#include "ui/render/symbols.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"
#include "ui/tools/hit_test.h"

#include <QKeyEvent>
#include <QLineF>
#include <QPainter>
#include <QPainterPath>

#include <cctype>

namespace leeward::ui {

std::string freshName(const Document& document, Kind kind) {
  switch (kind) {
    case Kind::stand:
    case Kind::gate:
    case Kind::bedding:
    case Kind::food:
    case Kind::sanctuary:
    case Kind::mock_scrape:
    case Kind::camera:
    case Kind::dwelling:
    case Kind::note:
      break;
    default:
      return {};
  }
  std::string noun = info(kind).noun;
  noun[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(noun[0])));
  for (std::size_t n = document.of(kind).size() + 1;; ++n) {
    const std::string name = noun + " " + std::to_string(n);
    bool taken = false;
    for (const auto& f : document.of(kind)) taken = taken || f->name == name;
    if (!taken) return name;
  }
}

DrawTool::DrawTool(EditSession& session, MapView& map, Kind kind)
    : session_(session), map_(map), kind_(kind) {}

LocalXY DrawTool::snapped(const Pointer& p) const {
  if (p.modifiers & Qt::ControlModifier) return p.at;
  const MapTransform& t = map_.transform();
  if (vertices_.size() > 2 &&
      QLineF(t.toDevice(vertices_.front()), p.px).length() <= t.px(kReachPx))
    return vertices_.front();
  if (info(kind_).point && !info(kind_).area) return p.at;  // a stand never stands on a corner
  return snapPoint(*session_.document(), t, map_.view().kinds, p.px).value_or(p.at);
}

bool DrawTool::press(const Pointer& p) {
  const LocalXY at = snapped(p);
  just_pressed_ = false;
  if (vertices_.size() > 2 && at == vertices_.front() && info(kind_).area) {
    finish(true);
    return true;
  }
  addVertex(at);
  just_pressed_ = true;
  if (info(kind_).point && !info(kind_).area) finish(false);
  return true;
}

void DrawTool::addVertex(LocalXY at) {
  const MapTransform& t = map_.transform();
  if (!vertices_.empty() && QLineF(t.toDevice(vertices_.back()), t.toDevice(at)).length() < t.px(2))
    return;  // the second press of a double click
  vertices_.push_back(at);
  ahead_ = at;
  map_.repaintTools();
  map_.showHint(hint());
}

void DrawTool::move(const Pointer& p, bool) {
  ahead_ = snapped(p);
  map_.repaintTools();
}

void DrawTool::release(const Pointer&) {}
void DrawTool::click(const Pointer&) {}

void DrawTool::doubleClick(const Pointer&) { finish(info(kind_).area && !info(kind_).line); }

void DrawTool::finish(bool closed) {
  const KindInfo& k = info(kind_);
  Shape shape;
  if (vertices_.size() == 1 && k.point) {
    shape = Shape::point(vertices_.front());
  } else if (k.area && (closed || !k.line) && vertices_.size() >= 3) {
    shape = Shape::area(vertices_);
  } else if (k.line && vertices_.size() >= 2) {
    shape = Shape::line(vertices_);
  } else {
    map_.showHint(k.line ? tr("A line needs two points: click once more")
                         : tr("An area needs three corners: click on"));
    return;
  }
  Feature f = make_feature(kind_, std::move(shape), freshName(*session_.document(), kind_));
  const Uid uid = f.uid;
  if (!session_.apply({std::string("Draw ") + k.noun, {put(std::move(f))}, {}})) {
    map_.repaintTools();
    return;  // the reason was shown; the drawing stays to be mended
  }
  vertices_.clear();
  ahead_.reset();
  session_.select(uid);
  emit done();
}

bool DrawTool::key(const QKeyEvent& event) {
  switch (event.key()) {
    case Qt::Key_Return:
    case Qt::Key_Enter:
      finish(info(kind_).area && !info(kind_).line);
      return true;
    case Qt::Key_Escape:
      leave();
      emit done();
      return true;
    case Qt::Key_Backspace:
    case Qt::Key_Delete:
      if (!vertices_.empty()) vertices_.pop_back();
      map_.repaintTools();
      return true;
    default:
      return false;
  }
}

void DrawTool::leave() {
  vertices_.clear();
  ahead_.reset();
  map_.repaintTools();
}

QString DrawTool::measure() const {
  Path path = vertices_;
  if (ahead_) path.push_back(*ahead_);
  if (path.size() < 2) return {};
  const UnitSystem units = session_.document()->settings->units;
  if (info(kind_).area && !info(kind_).line && path.size() > 2) {
    const double area = area_m2(Shape::area(path));
    return text(area_text(area, units));
  }
  return text(distance_text(path_length_m(path), units));
}

void DrawTool::paint(QPainter& painter) {
  const MapTransform& t = map_.transform();
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  const bool point_only = info(kind_).point && !info(kind_).area;
  if (point_only) {
    if (ahead_) {
      painter.setOpacity(0.7);
      drawSymbol(painter, default_attributes(kind_), t.toDevice(*ahead_), 1);
    }
    painter.restore();
    return;
  }
  Path path = vertices_;
  if (ahead_ && !vertices_.empty()) path.push_back(*ahead_);
  QPainterPath line;
  line.addPolygon(t.toDevice(path));
  if (info(kind_).area && !info(kind_).line && path.size() > 2) line.closeSubpath();
  painter.setPen(QPen(QColor(chrome::kSheet), 4));
  painter.drawPath(line);
  painter.setPen(QPen(QColor(chrome::kAccent), 2, Qt::DashLine));
  painter.drawPath(line);
  painter.setBrush(QColor(chrome::kSheet));
  painter.setPen(QPen(QColor(chrome::kAccent), 1.6));
  for (const LocalXY v : vertices_) {
    const QPointF at = t.toDevice(v);
    painter.drawRect(QRectF(at.x() - 3.5, at.y() - 3.5, 7, 7));
  }
  const QString size = measure();
  if (ahead_ && !size.isEmpty()) {
    drawHaloText(painter, t.toDevice(*ahead_) + QPointF(14, -10), size,
                 fontOfPixels(13, QFont::DemiBold), QColor(chrome::kInk), 2.5);
  }
  painter.restore();
}

QString DrawTool::hint() const {
  const KindInfo& k = info(kind_);
  const QString noun = text(k.noun);
  if (k.point && !k.area) return tr("Click where the %1 stands; Esc gives up").arg(noun);
  if (vertices_.empty()) {
    return k.point
               ? tr("Click to place the %1; Enter keeps it a point, more clicks make it an area")
                     .arg(noun)
               : tr("Click to begin the %1").arg(noun);
  }
  if (k.line && k.area)
    return tr(
        "Click on; double-click or Enter ends a line, a click on the first point closes an "
        "area; Backspace takes the last back");
  return tr("Click on; double-click or Enter ends, Backspace takes the last back, Esc gives up");
}

}  // namespace leeward::ui
