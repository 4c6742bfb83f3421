#include "ui/tools/carve_tool.h"

#include "core/model/operations.h"
#include "ui/style/type.h"

#include <QKeyEvent>
#include <QPainter>

namespace leeward::ui {

CarveTool::CarveTool(EditSession& session, MapView& map, Carve what, const Uid& uid)
    : session_(session), map_(map), what_(what), uid_(uid), sketch_(session, map, true) {}

bool CarveTool::press(const Pointer& p) {
  if (sketch_.press(p) && what_ == Carve::hole) finish();
  return true;
}

void CarveTool::release(const Pointer&) {
  const bool freehand = sketch_.drawsFreehand();
  sketch_.release();
  if (freehand) finish();  // one stroke is the whole of it
}

void CarveTool::finish() {
  const Document& doc = *session_.document();
  const Path& drawn = sketch_.vertices();
  if (drawn.size() < (what_ == Carve::hole ? 3U : 2U)) return map_.showHint(hint());
  const auto step = what_ == Carve::split     ? split_step(doc, uid_, drawn)
                    : what_ == Carve::reshape ? reshape_step(doc, uid_, drawn)
                                              : hole_step(doc, uid_, drawn);
  if (!step) {
    session_.tell(text(step.error().message));
    sketch_.clear();
    return;
  }
  if (!session_.apply(*step)) return;
  std::vector<Uid> pieces;
  for (const Edit& edit : step->edits)
    if (const auto* row = std::get_if<Put>(&edit))
      if (const auto* f = std::get_if<Ref<Feature>>(row)) pieces.push_back((*f)->uid);
  session_.selectAll(std::move(pieces));
  sketch_.clear();
  emit done();
}

bool CarveTool::key(const QKeyEvent& event) {
  if (sketch_.key(event)) return true;
  if (event.key() == Qt::Key_Return || event.key() == Qt::Key_Enter) {
    finish();
    return true;
  }
  if (event.key() != Qt::Key_Escape) return false;
  leave();
  emit done();
  return true;
}

void CarveTool::paint(QPainter& painter) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  sketch_.paint(painter, what_ == Carve::hole);
  painter.restore();
}

QString CarveTool::hint() const {
  const Ref<Feature> f = session_.document()->find(uid_);
  const QString name = f ? text(display_name(*f)) : QString();
  switch (what_) {
    case Carve::split:
      return tr("Draw across %1 where it is split; double-click or Enter ends, or drag one stroke")
          .arg(name);
    case Carve::reshape:
      return tr("Draw from its edge to its edge: %1 follows what is drawn; double-click or Enter "
                "ends, or drag one stroke")
          .arg(name);
    case Carve::hole:
      return tr("Draw round the hole in %1; double-click or Enter ends, or drag one stroke")
          .arg(name);
  }
  return {};
}

}  // namespace leeward::ui
