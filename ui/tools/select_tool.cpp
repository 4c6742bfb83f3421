#include "ui/tools/select_tool.h"

#include "ui/render/symbols.h"
#include "ui/style/palette.h"

#include <QKeyEvent>
#include <QLineF>
#include <QPainter>

#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kFacingArmPx = 38;
constexpr double kStartPx = 3;  // a drag begins when the pointer has moved this far

}  // namespace

std::optional<double> facingOf(const Feature& f) {
  if (const auto* s = std::get_if<StandAttrs>(&f.attrs)) return s->facing_deg;
  if (const auto* c = std::get_if<CameraAttrs>(&f.attrs)) return c->facing_deg;
  return std::nullopt;
}

void setFacing(Feature& f, double facing_deg) {
  if (auto* s = std::get_if<StandAttrs>(&f.attrs)) s->facing_deg = facing_deg;
  if (auto* c = std::get_if<CameraAttrs>(&f.attrs)) c->facing_deg = facing_deg;
}

SelectTool::SelectTool(EditSession& session, MapView& map) : session_(session), map_(map) {}

QPointF SelectTool::facingHandle(const Feature& f) const {
  const double rad = facingOf(f).value_or(0) * kRadPerDeg;
  const double arm = map_.transform().px(kFacingArmPx);
  return map_.transform().toDevice(f.shape.position()) +
         QPointF(std::sin(rad), -std::cos(rad)) * arm;
}

bool SelectTool::press(const Pointer& p) {
  grip_ = Grip::none;
  moved_ = false;
  pressed_px_ = p.px;
  grabbed_ = p.at;
  const MapTransform& t = map_.transform();
  const Ref<Feature> selected = session_.selected();
  if (selected && facingOf(*selected) &&
      QLineF(facingHandle(*selected), p.px).length() <= t.px(kReachPx)) {
    grip_ = Grip::facing;
  } else if (selected && selected->shape.type != ShapeType::point) {
    if (const auto vertex = vertexAt(selected->shape, t, p.px)) {
      if (p.modifiers & Qt::AltModifier) {
        removeVertex(*selected, *vertex);
        return true;
      }
      grip_ = Grip::vertex;
      vertex_ = *vertex;
      active_ = vertex_;
      active_of_ = selected->uid;
      map_.repaintTools();
    }
  }
  if (grip_ == Grip::none) {
    const auto hit = featureAt(*session_.document(), t, map_.view().kinds, p.px);
    if (!hit) return false;
    if (hit->shape.type == ShapeType::point) {
      session_.select(hit->uid);
      grip_ = Grip::point;
    } else if (selected && hit->uid == selected->uid) {
      grip_ = Grip::shape;
      active_.reset();
    } else {
      return false;
    }
  }
  before_ = *session_.selected();
  return true;
}

void SelectTool::move(const Pointer& p, bool dragging) {
  if (dragging && grip_ != Grip::none) {
    if (!moved_ && QLineF(pressed_px_, p.px).length() < kStartPx) return;
    if (!moved_ && !session_.readOnly()) emit dragChanged(true);
    moved_ = true;
    dragTo(p);
    return;
  }
  const Ref<Feature> selected = session_.selected();
  Grip now = Grip::none;
  if (selected && facingOf(*selected) &&
      QLineF(facingHandle(*selected), p.px).length() <= map_.transform().px(kReachPx)) {
    now = Grip::facing;
  } else if (selected && selected->shape.type != ShapeType::point &&
             vertexAt(selected->shape, map_.transform(), p.px)) {
    now = Grip::vertex;
  } else if (const auto hit =
                 featureAt(*session_.document(), map_.transform(), map_.view().kinds, p.px)) {
    now = hit->shape.type == ShapeType::point ? Grip::point : Grip::shape;
  }
  hover_ = now;
}

void SelectTool::dragTo(const Pointer& p) {
  Feature changed = before_;
  switch (grip_) {
    case Grip::none:
      return;
    case Grip::facing: {
      const double deg = std::round(bearing(before_.shape.position(), p.at).degrees());
      setFacing(changed, wrap_360(deg));
      step("Turn", std::move(changed), "turn:");
      return;
    }
    case Grip::vertex: {
      const auto snap = (p.modifiers & Qt::ControlModifier)
                            ? std::nullopt
                            : snapPoint(*session_.document(), map_.transform(), map_.view().kinds,
                                        p.px, before_.uid);
      changed.shape.parts[vertex_.part][vertex_.index] = snap.value_or(p.at);
      step("Move a corner of", std::move(changed), "vertex:");
      return;
    }
    case Grip::point:
    case Grip::shape:
      for (Path& part : changed.shape.parts)
        for (LocalXY& v : part) v = v + (p.at - grabbed_);
      step("Move", std::move(changed), "move:");
      return;
  }
}

bool SelectTool::step(const char* verb, Feature changed, const char* key) {
  const std::string noun = info(changed.kind()).noun;
  const std::string merge = key + changed.uid.str();
  const std::string name = changed.name.empty() ? noun : changed.name;
  return session_.apply({std::string(verb) + " " + name, {put(std::move(changed))}, merge})
      .has_value();
}

void SelectTool::release(const Pointer&) {
  if (moved_) {
    session_.seal();
    if (!session_.readOnly()) emit dragChanged(false);
  }
  grip_ = Grip::none;
}

void SelectTool::click(const Pointer& p) {
  const auto hit = featureAt(*session_.document(), map_.transform(), map_.view().kinds, p.px);
  active_.reset();
  session_.select(hit ? hit->uid : Uid());
}

void SelectTool::doubleClick(const Pointer& p) {
  const Ref<Feature> selected = session_.selected();
  if (!selected || selected->shape.type == ShapeType::point) return;
  if (vertexAt(selected->shape, map_.transform(), p.px)) return;
  const auto edge = edgeAt(selected->shape, map_.transform(), p.px);
  if (!edge) return;
  Feature changed = *selected;
  Path& part = changed.shape.parts[edge->before.part];
  part.insert(part.begin() + static_cast<std::ptrdiff_t>(edge->before.index), edge->point);
  if (step("Add a corner to", std::move(changed), "add:")) {
    session_.seal();
    active_ = edge->before;
    active_of_ = selected->uid;
  }
}

void SelectTool::removeVertex(const Feature& f, VertexRef vertex) {
  Feature changed = f;
  Path& part = changed.shape.parts[vertex.part];
  part.erase(part.begin() + static_cast<std::ptrdiff_t>(vertex.index));
  step("Remove a corner of", std::move(changed), "remove:");
  session_.seal();
  active_.reset();
}

bool SelectTool::key(const QKeyEvent& event) {
  const Ref<Feature> selected = session_.selected();
  if (event.key() == Qt::Key_Escape) {
    session_.select(Uid());
    return true;
  }
  if (event.key() != Qt::Key_Delete && event.key() != Qt::Key_Backspace) return false;
  if (!selected) return false;
  if (active_ && active_of_ == selected->uid && active_->part < selected->shape.parts.size() &&
      active_->index < selected->shape.parts[active_->part].size()) {
    removeVertex(*selected, *active_);
    return true;
  }
  const bool done =
      session_.apply({"Delete " + display_name(*selected), {Remove{selected->uid}}, {}})
          .has_value();
  return done;
}

void SelectTool::paint(QPainter& painter) {
  const Ref<Feature> selected = session_.selected();
  if (!selected) return;
  const MapTransform& t = map_.transform();
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  const QColor accent(chrome::kAccent), sheet(chrome::kSheet);
  if (facingOf(*selected) && selected->shape.type == ShapeType::point) {
    const QPointF middle = t.toDevice(selected->shape.position());
    const QPointF handle = facingHandle(*selected);
    const QPointF arm = handle - middle;
    const double len = std::hypot(arm.x(), arm.y());
    painter.setPen(QPen(accent, 1.4));
    painter.drawLine(middle + arm * ((kSymbolRadiusPx + 8) / len), handle);
    painter.setBrush(sheet);
    painter.setPen(QPen(accent, 2));
    painter.drawEllipse(handle, 4.5, 4.5);
  }
  if (selected->shape.type != ShapeType::point) {
    for (std::size_t p = 0; p < selected->shape.parts.size(); ++p) {
      for (std::size_t i = 0; i < selected->shape.parts[p].size(); ++i) {
        const QPointF at = t.toDevice(selected->shape.parts[p][i]);
        const bool active = active_ && active_of_ == selected->uid && *active_ == VertexRef{p, i};
        painter.setPen(QPen(active ? sheet : accent, 1.6));
        painter.setBrush(active ? accent : sheet);
        painter.drawRect(QRectF(at.x() - 3.5, at.y() - 3.5, 7, 7));
      }
    }
  }
  painter.restore();
}

QCursor SelectTool::cursor() const {
  if (grip_ == Grip::shape || grip_ == Grip::point) return Qt::SizeAllCursor;
  switch (hover_) {
    case Grip::none:
      return Qt::ArrowCursor;
    case Grip::facing:
    case Grip::vertex:
      return Qt::CrossCursor;
    case Grip::point:
    case Grip::shape:
      return Qt::PointingHandCursor;
  }
  return Qt::ArrowCursor;
}

QString SelectTool::hint() const {
  const Ref<Feature> selected = session_.selected();
  if (!selected) return QObject::tr("Click to select; drag empty ground to pan");
  if (selected->shape.type == ShapeType::point)
    return facingOf(*selected) ? QObject::tr("Drag to move, the small circle to turn; Del deletes")
                               : QObject::tr("Drag to move; Del deletes");
  return QObject::tr(
      "Drag a corner or the whole; double-click an edge adds a corner, Alt-click removes one; Del "
      "deletes");
}

}  // namespace leeward::ui
