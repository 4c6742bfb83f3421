#include "ui/tools/draw_tool.h"

#include "core/model/operations.h"
#include "ui/render/symbols.h"
#include "ui/style/type.h"

#include <QKeyEvent>
#include <QPainter>

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
    : session_(session),
      map_(map),
      kind_(kind),
      sketch_(session, map, !pointOnly()) {}  // a stand never stands on a corner

bool DrawTool::pointOnly() const { return info(kind_).point && !info(kind_).area; }
bool DrawTool::closes() const { return info(kind_).area && !info(kind_).line; }

bool DrawTool::press(const Pointer& p) {
  if (sketch_.press(p) && info(kind_).area) {
    finish(true);
  } else if (pointOnly()) {
    finish(false);
  } else {
    map_.showHint(hint());
  }
  return true;
}

void DrawTool::move(const Pointer& p, bool dragging) { sketch_.move(p, dragging && !pointOnly()); }

void DrawTool::release(const Pointer&) {
  sketch_.release();
  map_.showHint(hint());
}
void DrawTool::click(const Pointer&) {}

void DrawTool::doubleClick(const Pointer&) { finish(closes()); }

void DrawTool::finish(bool closed) {
  const KindInfo& k = info(kind_);
  const Path& drawn = sketch_.vertices();
  Shape shape;
  if (drawn.size() == 1 && k.point) {
    shape = Shape::point(drawn.front());
  } else if (k.area && (closed || !k.line) && drawn.size() >= 3) {
    shape = Shape::area(drawn);
  } else if (k.line && drawn.size() >= 2) {
    shape = Shape::line(drawn);
  } else {
    map_.showHint(k.line ? tr("A line needs two points: click once more")
                         : tr("An area needs three corners: click on"));
    return;
  }
  Feature f = make_feature(kind_, std::move(shape), freshName(*session_.document(), kind_));
  auto made = draw_step(*session_.document(), f, std::string("Draw ") + k.noun);
  if (!made) {
    session_.tell(text(made.error().message));
    return;
  }
  if (!session_.apply(made->step)) return;  // said; the drawing stays to be mended
  if (!made->note.empty()) session_.tell(tr("The %1 was %2").arg(text(k.noun), text(made->note)));
  sketch_.clear();
  session_.select(f.uid);
  emit done();
}

bool DrawTool::key(const QKeyEvent& event) {
  if (sketch_.key(event)) {
    map_.showHint(hint());
    return true;
  }
  switch (event.key()) {
    case Qt::Key_Return:
    case Qt::Key_Enter:
      finish(closes());
      return true;
    case Qt::Key_Escape:
      leave();
      emit done();
      return true;
    default:
      return false;
  }
}

void DrawTool::leave() { sketch_.clear(); }

void DrawTool::paint(QPainter& painter) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  if (!pointOnly()) {
    sketch_.paint(painter, closes());
  } else if (sketch_.ahead()) {
    painter.setOpacity(0.7);
    drawSymbol(painter, default_attributes(kind_), map_.transform().toDevice(*sketch_.ahead()), 1);
  }
  painter.restore();
}

QString DrawTool::hint() const {
  const KindInfo& k = info(kind_);
  const QString noun = text(k.noun);
  if (pointOnly()) return tr("Click where the %1 stands; Esc gives up").arg(noun);
  if (sketch_.empty()) {
    return k.point
               ? tr("Click to place the %1; Enter keeps it a point, more clicks make it an area")
                     .arg(noun)
               : tr("Click to begin the %1, or drag to draw it freehand").arg(noun);
  }
  const QString how = tr("Shift: angles; Ctrl: no snapping; type 120 or 120/45 for an edge");
  if (k.line && k.area)
    return tr("Click on; double-click or Enter ends a line, a click on the first point closes an "
              "area. ") +
           how;
  return tr("Click on; double-click or Enter ends, Backspace takes the last back. ") + how;
}

}  // namespace leeward::ui
