#include "ui/tools/hit_test.h"

#include "ui/render/symbols.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QLineF>
#include <QObject>
#include <QPainter>

#include <algorithm>
#include <limits>
#include <tuple>

namespace leeward::ui {
namespace {

double distancePx(QPointF a, QPointF b) { return QLineF(a, b).length(); }

/// Calls fn(vertex before which a point would be inserted, from, to) for every edge.
template <class Fn>
void eachEdge(const Shape& shape, Fn fn) {
  for (std::size_t p = 0; p < shape.parts.size(); ++p) {
    const Path& part = shape.parts[p];
    for (std::size_t i = 1; i < part.size(); ++i) fn(VertexRef{p, i}, part[i - 1], part[i]);
    if (shape.type == ShapeType::area && part.size() > 2)
      fn(VertexRef{p, part.size()}, part.back(), part.front());
  }
}

SnapTo snapKind(const Shape& shape, VertexRef v) {
  if (shape.type == ShapeType::point) return SnapTo::place;
  const bool end = v.index == 0 || v.index + 1 == shape.parts[v.part].size();
  return shape.type == ShapeType::line && end ? SnapTo::end : SnapTo::corner;
}

}  // namespace

std::vector<Ref<Feature>> featuresAt(const Document& document, const MapTransform& t, KindSet shown,
                                     QPointF device) {
  const LocalXY at = t.toLocal(device);
  const double reach_m = t.px(kReachPx) / t.devicePerMetre();
  using Rank = std::tuple<int, double>;
  std::vector<std::pair<Rank, Ref<Feature>>> found;
  const auto offer = [&](const Ref<Feature>& f, Rank rank) { found.emplace_back(rank, f); };
  for (const auto& rows : document.features) {
    for (const auto& f : *rows) {
      if (!shown[static_cast<std::size_t>(f->kind())]) continue;
      if (!bounds(f->shape).grown(3 * reach_m).contains(at)) continue;
      if (f->shape.type == ShapeType::point) {
        const double d = distancePx(t.toDevice(f->shape.position()), device);
        if (d <= t.px(kSymbolRadiusPx + 2)) offer(f, {0, d});
      } else if (f->shape.type == ShapeType::line) {
        const double d = leeward::distance_m(f->shape, at);
        if (d <= reach_m) offer(f, {1, d});
      } else if (f->kind() == Kind::boundary) {  // by its edge only: everything lies inside it
        const auto edge = edgeAt(f->shape, t, device);
        if (edge) offer(f, {3, 0});
      } else if (leeward::distance_m(f->shape, at) <= reach_m / 2) {
        offer(f, {2, area_m2(f->shape)});
      }
    }
  }
  std::stable_sort(found.begin(), found.end(),
                   [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Ref<Feature>> out;
  for (auto& [rank, f] : found) out.push_back(std::move(f));
  return out;
}

Ref<Feature> featureAt(const Document& document, const MapTransform& t, KindSet shown,
                       QPointF device) {
  const auto all = featuresAt(document, t, shown, device);
  return all.empty() ? nullptr : all.front();
}

std::optional<VertexRef> vertexAt(const Shape& shape, const MapTransform& t, QPointF device) {
  std::optional<VertexRef> found;
  double best = t.px(kReachPx);
  for (std::size_t p = 0; p < shape.parts.size(); ++p) {
    for (std::size_t i = 0; i < shape.parts[p].size(); ++i) {
      const double d = distancePx(t.toDevice(shape.parts[p][i]), device);
      if (d <= best) best = d, found = VertexRef{p, i};
    }
  }
  return found;
}

std::optional<EdgeRef> edgeAt(const Shape& shape, const MapTransform& t, QPointF device) {
  std::optional<EdgeRef> found;
  const LocalXY at = t.toLocal(device);
  double best = t.px(kReachPx) / t.devicePerMetre();
  eachEdge(shape, [&](VertexRef before, LocalXY from, LocalXY to) {
    const NearestOnPath near = nearest_on_path({from, to}, at);
    if (near.distance_m <= best) best = near.distance_m, found = EdgeRef{before, near.point};
  });
  return found;
}

std::optional<Snap> snapAt(const Document& document, const MapTransform& t, KindSet shown,
                           QPointF device, const Uid& except) {
  std::optional<Snap> vertex, edge;
  double best = t.px(kReachPx), best_edge = t.px(kReachPx);
  Box near;
  near.add(t.toLocal(device));
  near = near.grown(t.px(kReachPx) / t.devicePerMetre());
  for (const auto& rows : document.features) {
    for (const auto& f : *rows) {
      if (f->uid == except || !shown[static_cast<std::size_t>(f->kind())]) continue;
      if (!bounds(f->shape).overlaps(near)) continue;
      if (const auto v = vertexAt(f->shape, t, device)) {
        const LocalXY at = f->shape.parts[v->part][v->index];
        const double d = distancePx(t.toDevice(at), device);
        const bool other_end = vertex && vertex->of != f->uid && vertex->at == at;
        if (d <= best && !(other_end && vertex->to == SnapTo::node)) {
          best = d;
          vertex = Snap{at, snapKind(f->shape, *v), f->uid};
          if (other_end && f->shape.type == ShapeType::line) vertex->to = SnapTo::node;
        }
      } else if (f->shape.type != ShapeType::point) {
        const auto e = edgeAt(f->shape, t, device);
        const double d = e ? distancePx(t.toDevice(e->point), device) : best_edge + 1;
        if (d <= best_edge) best_edge = d, edge = Snap{e->point, SnapTo::edge, f->uid};
      }
    }
  }
  return vertex ? vertex : edge;
}

QString snapWords(const Document& document, const Snap& snap) {
  const Ref<Feature> f = document.find(snap.of);
  const QString name = f ? text(display_name(*f)) : QString();
  switch (snap.to) {
    case SnapTo::place:
      return QObject::tr("at %1").arg(name);
    case SnapTo::corner:
      return QObject::tr("corner of %1").arg(name);
    case SnapTo::end:
      return QObject::tr("end of %1").arg(name);
    case SnapTo::node:
      return QObject::tr("where %1 meets others").arg(name);
    case SnapTo::edge:
      return QObject::tr("edge of %1").arg(name);
  }
  return {};
}

void drawSnap(QPainter& painter, const MapTransform& t, const Snap& snap) {
  const QPointF at = t.toDevice(snap.at);
  const auto mark = [&](const QPen& pen) {
    painter.setPen(pen);
    painter.setBrush(Qt::NoBrush);
    switch (snap.to) {
      case SnapTo::end:
        return painter.drawEllipse(at, 7, 7);
      case SnapTo::node:
        painter.drawEllipse(at, 8, 8);
        return painter.drawEllipse(at, 4.5, 4.5);
      case SnapTo::edge:
        painter.drawLine(at + QPointF(-6, -6), at + QPointF(6, 6));
        return painter.drawLine(at + QPointF(-6, 6), at + QPointF(6, -6));
      case SnapTo::place:
      case SnapTo::corner:
        return painter.drawRect(QRectF(at - QPointF(6.5, 6.5), QSizeF(13, 13)));
    }
  };
  mark(QPen(QColor(chrome::kSheet), 4.5));
  mark(QPen(QColor(chrome::kAccent), 2));
}

}  // namespace leeward::ui
