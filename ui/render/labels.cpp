#include "ui/render/labels.h"

#include "ui/style/palette.h"

#include <QCache>
#include <QFontMetricsF>
#include <QImage>
#include <QPaintEngine>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

// Without the points that some glyphs leave behind: a PDF reader takes them for damage.
QPainterPath withoutLonePoints(const QPainterPath& path) {
  QPainterPath out;
  out.setFillRule(path.fillRule());
  for (int i = 0; i < path.elementCount(); ++i) {
    const QPainterPath::Element e = path.elementAt(i);
    const bool lone = i + 1 == path.elementCount() || path.elementAt(i + 1).isMoveTo();
    if (e.isMoveTo() && !lone) out.moveTo(e);
    if (e.isLineTo()) out.lineTo(e);
    if (e.isCurveTo()) out.cubicTo(e, path.elementAt(i + 1), path.elementAt(i + 2));
  }
  return out;
}

/// `soft`: the map shows through the halo a little. Not on paper, where a stroke that lets through
/// is written as an outline of its outline, ten times as long.
void drawHaloNow(QPainter& painter, QPointF at, const QString& words, const QFont& font,
                 const QColor& ink, double halo, bool soft) {
  QPainterPath outline;
  outline.addText(at, font, words);
  QColor pale(chrome::kSheet);
  if (soft) pale.setAlpha(225);
  QPen edge(pale, halo * 2);
  edge.setJoinStyle(Qt::RoundJoin);
  painter.strokePath(withoutLonePoints(outline), edge);
  painter.setFont(font);
  painter.setPen(ink);
  painter.drawText(at, words);
}

/// Stroking a halo is the dearest part of a label; on screen its picture is kept.
struct HaloPicture {
  QImage image;
  QPointF offset;  ///< From the left baseline to the picture's corner.
};
const HaloPicture& haloPicture(const QString& words, const QFont& font, const QColor& ink,
                               double halo, double ratio) {
  thread_local QCache<QString, HaloPicture> kept(600);
  const QString key = QStringLiteral("%1|%2|%3|%4|%5")
                          .arg(words, font.key(), ink.name(QColor::HexArgb))
                          .arg(halo)
                          .arg(ratio);
  if (const HaloPicture* found = kept.object(key)) return *found;
  const QFontMetricsF m(font);
  const double edge = std::ceil(halo) + 2;
  const QSizeF size(m.horizontalAdvance(words) + 2 * edge, m.height() + 2 * edge);
  auto* made = new HaloPicture;
  made->offset = QPointF(-edge, -std::ceil(m.ascent() + edge));
  made->image = QImage((size * ratio).toSize() + QSize(2, 2), QImage::Format_ARGB32_Premultiplied);
  made->image.setDevicePixelRatio(ratio);
  made->image.fill(Qt::transparent);
  QPainter painter(&made->image);
  painter.setRenderHint(QPainter::Antialiasing);
  drawHaloNow(painter, -made->offset, words, font, ink, halo, true);
  painter.end();
  kept.insert(key, made);
  return *kept.object(key);
}

}  // namespace

void drawHaloText(QPainter& painter, QPointF at, const QString& words, const QFont& font,
                  const QColor& ink, double halo) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  const bool screen = painter.paintEngine()->type() == QPaintEngine::Raster &&
                      font.pixelSize() <= 30 && painter.transform().type() <= QTransform::TxScale;
  if (screen) {
    const double ratio = painter.device()->devicePixelRatioF();
    const HaloPicture& picture = haloPicture(words, font, ink, halo, ratio);
    const QPointF corner = at + picture.offset;
    painter.drawImage(
        QPointF(std::round(corner.x() * ratio), std::round(corner.y() * ratio)) / ratio,
        picture.image);
  } else {
    drawHaloNow(painter, at, words, font, ink, halo, false);
  }
  painter.restore();
}

bool LabelPlacer::isFree(const QRectF& box, const QRectF& inside) const {
  return inside.contains(box) && std::none_of(taken_.begin(), taken_.end(),
                                              [&](const QRectF& t) { return t.intersects(box); });
}

std::optional<QRectF> LabelPlacer::besideWithLeader(QPainter& painter, const MapTransform& t,
                                                    const Spot& spot) const {
  constexpr int kDirections = 16;
  for (const double away_px : {14.0, 24.0, 36.0, 50.0}) {
    for (int k = 0; k < kDirections; ++k) {
      const double turn = 2 * kPi * k / kDirections;
      const QPointF out(std::cos(turn), std::sin(turn));
      const QPointF end = spot.anchor + out * (spot.clear + t.px(away_px));
      // The label's near edge or corner stands at the end of the line.
      const QRectF box(QPointF(end.x() - (out.x() < -0.3  ? spot.size.width()
                                          : out.x() > 0.3 ? 0
                                                          : spot.size.width() / 2),
                               end.y() - spot.size.height() * (1 - out.y()) / 2),
                       spot.size);
      if (!isFree(box)) continue;
      painter.setPen(QPen(QColor(chrome::kSheet), t.px(2.4)));
      painter.drawLine(spot.anchor + out * (0.8 * spot.clear), end);
      painter.setPen(QPen(QColor(chrome::kInk), t.px(0.9)));
      painter.drawLine(spot.anchor + out * (0.8 * spot.clear), end);
      return box;
    }
  }
  return std::nullopt;
}

bool LabelPlacer::label(QPainter& painter, const MapTransform& t, QPointF anchor, double clear_px,
                        const QString& words, const QFont& font, const QColor& ink) {
  const QFontMetricsF m(font, painter.device());
  const QSizeF size(m.horizontalAdvance(words) + t.px(4), m.height());
  const double c = t.px(clear_px), w = size.width(), h = size.height();
  const QPointF around[] = {{c, -h / 2}, {-c - w, -h / 2},        {-w / 2, -c - h},
                            {-w / 2, c}, {c * 0.7, -c - h * 0.6}, {c * 0.7, c * 0.4}};
  const QPointF centred[] = {{-w / 2, -h / 2}, {-w / 2, -h * 1.6}, {-w / 2, h * 0.6}};
  const auto put = [&](QPointF offset, const QRectF& inside) {
    const QRectF box(anchor + offset, size);
    if (!isFree(box, inside)) return false;
    take(box);
    drawHaloText(painter, box.topLeft() + QPointF(t.px(2), m.ascent()), words, font, ink, t.px(2));
    return true;
  };
  const auto any = [&](const auto& offsets) {
    const auto within = [&](const QRectF& inside) {
      return std::any_of(std::begin(offsets), std::end(offsets),
                         [&](QPointF offset) { return put(offset, inside); });
    };
    return within(preferred_) || (inside_ != preferred_ && within(inside_));
  };
  if (clear_px <= 0) return any(centred);
  if (any(around)) return true;
  if (!leaders_) return false;
  const auto box = besideWithLeader(painter, t, {anchor, c, size});
  return box && put(box->topLeft() - anchor, inside_);
}

}  // namespace leeward::ui
