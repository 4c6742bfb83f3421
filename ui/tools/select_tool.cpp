#include "ui/tools/select_tool.h"

#include "ui/render/symbols.h"
#include "ui/style/palette.h"
#include "ui/tools/plate.h"

#include <QKeyEvent>
#include <QLineF>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>
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

Ref<Feature> SelectTool::handled() const {
  if (session_.selectedUids().size() != 1) return nullptr;
  const Ref<Feature> f = session_.selected();
  return f && !session_.isLocked(f->kind()) ? f : nullptr;
}

QPointF SelectTool::facingHandle(const Feature& f) const {
  const double rad = facingOf(f).value_or(0) * kRadPerDeg;
  const MapTransform& t = map_.transform();
  const LocalXY at = f.shape.position();
  const double arm_m = t.px(kFacingArmPx) / t.devicePerMetre();
  return t.toDevice(LocalXY{at.x + std::sin(rad) * arm_m, at.y + std::cos(rad) * arm_m});
}

std::optional<std::size_t> SelectTool::gapAt(const Feature& f, QPointF px) const {
  const auto* barrier = std::get_if<BarrierAttrs>(&f.attrs);
  if (!barrier || f.shape.type != ShapeType::line) return std::nullopt;
  const MapTransform& t = map_.transform();
  for (std::size_t i = 0; i < barrier->gaps.size(); ++i) {
    const QPointF at = t.toDevice(point_along(f.shape.path(), barrier->gaps[i].at_m));
    if (QLineF(at, px).length() <= t.px(kReachPx)) return i;
  }
  return std::nullopt;
}

SelectTool::Grip SelectTool::handleAt(QPointF px) {
  const Ref<Feature> f = handled();
  if (!f) return Grip::none;
  const MapTransform& t = map_.transform();
  if (f->shape.type == ShapeType::point) {
    const bool on = facingOf(*f) && QLineF(facingHandle(*f), px).length() <= t.px(kReachPx);
    return on ? Grip::facing : Grip::none;
  }
  if (const auto vertex = vertexAt(f->shape, t, px)) {
    vertex_ = *vertex;
    return Grip::vertex;
  }
  if (const auto gap = gapAt(*f, px)) {
    gap_ = *gap;
    return Grip::gap;
  }
  return Grip::none;
}

bool SelectTool::press(const Pointer& p) {
  moved_ = fresh_ = false;
  pressed_px_ = p.px;
  grabbed_ = p.at;
  before_ = session_.document();
  if (p.modifiers & Qt::ShiftModifier) {
    grip_ = Grip::box;
    box_ = {};
    return true;
  }
  grip_ = handleAt(p.px);
  if (grip_ == Grip::vertex) {
    if (p.modifiers & Qt::AltModifier) {
      grip_ = Grip::none;
      removeVertex(*handled(), vertex_);
      return true;
    }
    active_ = vertex_;
    active_of_ = session_.selection();
    map_.repaintTools();
  }
  if (grip_ != Grip::none) return true;
  const auto hits =
      featuresAt(*session_.document(), map_.transform(), map_.view().pickable(), p.px);
  if (hits.empty()) return false;
  const bool held = std::any_of(hits.begin(), hits.end(),
                                [&](const auto& f) { return session_.isSelected(f->uid); });
  if (!held && hits.front()->shape.type != ShapeType::point) return false;
  const bool other_point =
      hits.front()->shape.type == ShapeType::point && !session_.isSelected(hits.front()->uid);
  if (!held || other_point) {
    session_.select(hits.front()->uid);
    fresh_ = true;
  }
  active_.reset();
  grip_ = Grip::shapes;
  return true;
}

void SelectTool::move(const Pointer& p, bool dragging) {
  if (dragging && grip_ != Grip::none) {
    if (!moved_ && QLineF(pressed_px_, p.px).length() < kStartPx) return;
    if (grip_ == Grip::box) {
      moved_ = true;
      box_ = QRectF(pressed_px_, p.px).normalized();
      map_.repaintTools();
      return;
    }
    if (!moved_ && !session_.readOnly()) emit dragChanged(true);
    moved_ = true;
    dragTo(p);
    return;
  }
  const VertexRef kept = vertex_;
  hover_ = handleAt(p.px);
  vertex_ = kept;
  if (hover_ == Grip::none &&
      featureAt(*session_.document(), map_.transform(), map_.view().pickable(), p.px))
    hover_ = Grip::shapes;
}

MayFollow SelectTool::followers(bool joined) const {
  return [this, joined](const Feature& f) { return joined && !session_.isLocked(f.kind()); };
}

void SelectTool::dragTo(const Pointer& p) {
  const bool free = p.modifiers & Qt::ControlModifier;
  const Ref<Feature> f = before_->find(session_.selection());
  if (!f) return;
  switch (grip_) {
    case Grip::none:
    case Grip::box:
      return;
    case Grip::facing: {
      Feature changed = *f;
      setFacing(changed, wrap_360(std::round(bearing(f->shape.position(), p.at).degrees())));
      step("Turn", {put(std::move(changed))}, "turn:");
      return;
    }
    case Grip::gap:
      return dragGap(p);
    case Grip::vertex: {
      snap_ =
          free ? std::nullopt : snapAt(*before_, map_.transform(), map_.view().kinds, p.px, f->uid);
      const LocalXY to = snap_ ? snap_->at : p.at;
      step("Move a corner of",
           moved_vertex(*before_, *f, vertex_.part, vertex_.index, to, followers(!free)),
           "vertex:");
      return;
    }
    case Grip::shapes:
      step("Move",
           leeward::moved(*before_, session_.selectedUids(), p.at - grabbed_, followers(!free)),
           "move:");
      return;
  }
}

void SelectTool::dragGap(const Pointer& p) {
  const Ref<Feature> f = before_->find(session_.selection());
  Feature changed = *f;
  Gap& gap = changed.as<BarrierAttrs>().gaps.at(gap_);
  const double total_m = length_m(f->shape), half_m = std::min(gap.width_m, total_m) / 2;
  gap.at_m = std::clamp(nearest_on_path(f->shape.path(), p.at).at_m, half_m, total_m - half_m);
  step("Move a gap in", {put(std::move(changed))}, "gap:");
}

bool SelectTool::step(const char* verb, std::vector<Edit> edits, const char* key) {
  const Ref<Feature> f = session_.selected();
  if (!f) return false;
  const std::size_t count = session_.selectedUids().size();
  const std::string name = count > 1         ? std::to_string(count) + " features"
                           : f->name.empty() ? info(f->kind()).noun
                                             : f->name;
  return session_.apply({std::string(verb) + " " + name, std::move(edits), key + f->uid.str()})
      .has_value();
}

void SelectTool::release(const Pointer& p) {
  const Grip was = grip_;
  grip_ = Grip::none;
  snap_.reset();
  if (was == Grip::box) {
    if (moved_) {
      pickInBox();
    } else if (const auto hit = featureAt(*session_.document(), map_.transform(),
                                          map_.view().pickable(), p.px)) {
      session_.toggle(hit->uid);
    }
    box_ = {};
    map_.repaintTools();
    return;
  }
  if (moved_) {
    session_.seal();
    if (!session_.readOnly()) emit dragChanged(false);
  } else if (was == Grip::shapes && !fresh_) {
    cycle(p);
  }
  if (!moved_) clicked_px_ = p.px;
  map_.repaintTools();
}

void SelectTool::pickInBox() {
  std::vector<Uid> picked = session_.selectedUids();
  const MapTransform& t = map_.transform();
  for (const auto& rows : session_.document()->features) {
    for (const auto& f : *rows) {
      if (!map_.view().pickable()[static_cast<std::size_t>(f->kind())]) continue;
      const bool inside =
          std::all_of(f->shape.parts.begin(), f->shape.parts.end(), [&](const Path& part) {
            return std::all_of(part.begin(), part.end(),
                               [&](LocalXY v) { return box_.contains(t.toDevice(v)); });
          });
      if (inside && !session_.isSelected(f->uid)) picked.push_back(f->uid);
    }
  }
  session_.selectAll(std::move(picked));
}

// A further click at one place takes the next of what lies stacked there.
void SelectTool::cycle(const Pointer& p) {
  const auto hits =
      featuresAt(*session_.document(), map_.transform(), map_.view().pickable(), p.px);
  if (hits.empty()) return;
  const auto now = std::find_if(hits.begin(), hits.end(),
                                [&](const auto& f) { return f->uid == session_.selection(); });
  const bool again = QLineF(clicked_px_, p.px).length() <= kStartPx && now != hits.end();
  const auto next = again && now + 1 != hits.end() ? now + 1 : hits.begin();
  if (session_.isSelected((*next)->uid) && session_.selectedUids().size() == 1) return;
  active_.reset();
  session_.select((*next)->uid);
}

void SelectTool::click(const Pointer& p) {
  const auto hit = featureAt(*session_.document(), map_.transform(), map_.view().pickable(), p.px);
  active_.reset();
  clicked_px_ = p.px;
  session_.select(hit ? hit->uid : Uid());
}

void SelectTool::doubleClick(const Pointer& p) {
  const Ref<Feature> selected = handled();
  if (!selected || selected->shape.type == ShapeType::point) return;
  if (vertexAt(selected->shape, map_.transform(), p.px)) return;
  const auto edge = edgeAt(selected->shape, map_.transform(), p.px);
  if (!edge) return;
  Feature changed = *selected;
  Path& part = changed.shape.parts[edge->before.part];
  part.insert(part.begin() + static_cast<std::ptrdiff_t>(edge->before.index), edge->point);
  if (step("Add a corner to", {put(std::move(changed))}, "add:")) {
    session_.seal();
    active_ = edge->before;
    active_of_ = selected->uid;
  }
}

void SelectTool::removeVertex(const Feature& f, VertexRef vertex) {
  Feature changed = f;
  Path& part = changed.shape.parts[vertex.part];
  part.erase(part.begin() + static_cast<std::ptrdiff_t>(vertex.index));
  if (vertex.part > 0 && part.size() < 3)  // a hole is closed
    changed.shape.parts.erase(changed.shape.parts.begin() +
                              static_cast<std::ptrdiff_t>(vertex.part));
  step("Remove a corner of", {put(std::move(changed))}, "remove:");
  session_.seal();
  active_.reset();
}

void SelectTool::nudge(LocalXY by) {
  if (session_.selectedUids().empty()) return;
  step("Move", leeward::moved(*session_.document(), session_.selectedUids(), by, followers(true)),
       "nudge:");
}

bool SelectTool::key(const QKeyEvent& event) {
  const Ref<Feature> selected = session_.selected();
  if (event.key() == Qt::Key_Escape) {
    session_.select(Uid());
    return true;
  }
  if (selected && (event.modifiers() & Qt::ControlModifier)) {
    const MapTransform& t = map_.transform();
    const double step_px = event.modifiers() & Qt::ShiftModifier ? 10 : 1;
    const auto on_screen = [&](double right, double down) {  // as it looks, however turned
      return t.toLocal(QPointF(right, down) * step_px) - t.toLocal(QPointF(0, 0));
    };
    switch (event.key()) {
      case Qt::Key_Left:
        return nudge(on_screen(-1, 0)), true;
      case Qt::Key_Right:
        return nudge(on_screen(1, 0)), true;
      case Qt::Key_Up:
        return nudge(on_screen(0, -1)), true;
      case Qt::Key_Down:
        return nudge(on_screen(0, 1)), true;
      default:
        break;
    }
  }
  if (event.key() != Qt::Key_Delete && event.key() != Qt::Key_Backspace) return false;
  if (!selected) return false;
  if (active_ && handled() && active_of_ == selected->uid &&
      active_->part < selected->shape.parts.size() &&
      active_->index < selected->shape.parts[active_->part].size()) {
    removeVertex(*selected, *active_);
    return true;
  }
  return session_.apply(remove_step(*session_.document(), session_.selectedUids())).has_value();
}

void SelectTool::paintHandles(QPainter& painter, const Feature& f) const {
  const MapTransform& t = map_.transform();
  const QColor accent(chrome::kAccent), sheet(chrome::kSheet);
  if (f.shape.type == ShapeType::point) {
    if (!facingOf(f)) return;
    const QPointF middle = t.toDevice(f.shape.position());
    const QPointF handle = facingHandle(f);
    const QPointF arm = handle - middle;
    const double len = std::hypot(arm.x(), arm.y());
    painter.setPen(QPen(accent, 1.4));
    painter.drawLine(middle + arm * ((kSymbolRadiusPx + 8) / len), handle);
    painter.setBrush(sheet);
    painter.setPen(QPen(accent, 2));
    painter.drawEllipse(handle, 4.5, 4.5);
    return;
  }
  for (std::size_t part = 0; part < f.shape.parts.size(); ++part) {
    for (std::size_t i = 0; i < f.shape.parts[part].size(); ++i) {
      const QPointF at = t.toDevice(f.shape.parts[part][i]);
      const bool active = active_ && active_of_ == f.uid && *active_ == VertexRef{part, i};
      painter.setPen(QPen(active ? sheet : accent, 1.6));
      painter.setBrush(active ? accent : sheet);
      painter.drawRect(QRectF(at.x() - 3.5, at.y() - 3.5, 7, 7));
    }
  }
  const auto* barrier = std::get_if<BarrierAttrs>(&f.attrs);
  if (!barrier || f.shape.type != ShapeType::line) return;
  painter.setPen(QPen(accent, 1.6));
  painter.setBrush(sheet);
  for (const Gap& g : barrier->gaps) {
    const QPointF at = t.toDevice(point_along(f.shape.path(), g.at_m));
    painter.drawPolygon(QPolygonF{at + QPointF(0, -6), at + QPointF(6, 0), at + QPointF(0, 6),
                                  at + QPointF(-6, 0)});
  }
}

void SelectTool::paint(QPainter& painter) {
  const MapTransform& t = map_.transform();
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  if (session_.selectedUids().size() > 1) {
    painter.setBrush(Qt::NoBrush);
    for (const auto& f : session_.selectedFeatures()) {
      QPainterPath path = devicePath(t, f->shape);
      if (f->shape.type == ShapeType::point) {
        path = {};
        path.addEllipse(t.toDevice(f->shape.position()), kSymbolRadiusPx + 5, kSymbolRadiusPx + 5);
      }
      painter.setPen(QPen(QColor(chrome::kSheet), 5));
      painter.drawPath(path);
      painter.setPen(QPen(QColor(chrome::kAccent), 2.4));
      painter.drawPath(path);
    }
  }
  if (const Ref<Feature> f = handled()) paintHandles(painter, *f);
  if (snap_) {
    drawSnap(painter, t, *snap_);
    drawPlate(painter, t.toDevice(snap_->at),
              {{snapWords(*session_.document(), *snap_), theme().accent}});
  }
  if (!box_.isEmpty()) {
    QColor wash(chrome::kAccent);
    wash.setAlpha(36);
    painter.setBrush(wash);
    painter.setPen(QPen(QColor(chrome::kAccent), 1.4, Qt::DashLine));
    painter.drawRect(box_);
  }
  painter.restore();
}

QCursor SelectTool::cursor() const {
  if (grip_ == Grip::shapes) return Qt::SizeAllCursor;
  if (grip_ == Grip::box) return Qt::CrossCursor;
  switch (hover_) {
    case Grip::none:
    case Grip::box:
      return Qt::ArrowCursor;
    case Grip::facing:
    case Grip::vertex:
    case Grip::gap:
      return Qt::CrossCursor;
    case Grip::shapes:
      return Qt::PointingHandCursor;
  }
  return Qt::ArrowCursor;
}

QString SelectTool::hint() const {
  const std::size_t count = session_.selectedUids().size();
  if (count == 0)
    return QObject::tr(
        "Click selects, again takes what lies below; Shift-click adds, Shift-drag takes a box; "
        "drag empty ground to pan");
  if (count > 1)
    return QObject::tr("%1 selected: drag moves all, Shift-click takes one out, Del deletes")
        .arg(count);
  const Ref<Feature> selected = session_.selected();
  if (selected && session_.isLocked(selected->kind())) return QObject::tr("Locked");
  if (!selected || selected->shape.type == ShapeType::point)
    return selected && facingOf(*selected)
               ? QObject::tr("Drag to move, the small circle to turn; Del deletes")
               : QObject::tr("Drag to move; Del deletes");
  return QObject::tr(
      "Drag a corner, a gap or the whole; double-click an edge adds a corner, Alt-click removes "
      "one; Ctrl leaves joined trails behind; Del deletes");
}

}  // namespace leeward::ui
