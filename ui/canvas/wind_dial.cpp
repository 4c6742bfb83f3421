#include "ui/canvas/wind_dial.h"

#include "core/base/units.h"
#include "ui/render/barb.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QLineF>
#include <QPainter>

#include <cmath>

namespace leeward::ui {
namespace {

QPointF ahead(double deg, double r) {
  return {std::sin(deg * kRadPerDeg) * r, -std::cos(deg * kRadPerDeg) * r};
}

}  // namespace

void WindDial::show(std::optional<double> from_deg, std::optional<double> speed_mps, QString words,
                    bool northern) {
  from_deg_ = from_deg;
  speed_mps_ = speed_mps;
  words_ = std::move(words);
  northern_ = northern;
}

QPointF WindDial::knob() const { return middle_ + ahead(from_deg_.value_or(0), kRadiusPx); }

bool WindDial::hit(QPointF at) const { return QLineF(middle_, at).length() <= kRadiusPx + 8; }

double WindDial::bearingAt(QPointF at, bool fine) const {
  const QPointF d = at - middle_;
  const double deg = Bearing::of(d.x(), -d.y()).degrees();
  const double step = fine ? 1 : 5;
  return wrap_360(std::round(deg / step) * step);
}

QRectF WindDial::box() const {
  return QRectF(middle_ - QPointF(kRadiusPx + 10, kRadiusPx + 10),
                QSizeF(2 * kRadiusPx + 20, 2 * kRadiusPx + 42));
}

void WindDial::paint(QPainter& p) const {
  p.save();
  p.setRenderHint(QPainter::Antialiasing);
  const QColor ink(chrome::kInk), accent(chrome::kAccent);
  QColor sheet(chrome::kSheet);
  sheet.setAlpha(225);
  p.setPen(QPen(ink, 1.2));
  p.setBrush(sheet);
  p.drawEllipse(middle_, kRadiusPx, kRadiusPx);
  for (int i = 0; i < 16; ++i) {
    const double inner = kRadiusPx - (i % 4 == 0 ? 7 : i % 2 == 0 ? 5 : 3);
    p.drawLine(middle_ + ahead(i * 22.5, inner), middle_ + ahead(i * 22.5, kRadiusPx));
  }
  const QFont small = fontOfPixels(11, QFont::Bold);
  p.setFont(small);
  const QFontMetricsF m(small);
  const bool covered = from_deg_ && std::abs(wrap_180(*from_deg_)) < 25;
  if (!covered) {
    p.drawText(middle_ + QPointF(-m.horizontalAdvance(QLatin1Char('N')) / 2, -kRadiusPx + 18),
               QStringLiteral("N"));
  }
  drawBarb(p, middle_, from_deg_, speed_mps_, kRadiusPx * 0.72, 2, accent, northern_);
  if (from_deg_) {
    p.setPen(QPen(QColor(chrome::kSheet), 1.6));
    p.setBrush(accent);
    p.drawEllipse(knob(), 7, 7);
  }
  const QFont font = fontOfPixels(12, QFont::DemiBold);
  const QFontMetricsF fm(font);
  const double w = fm.horizontalAdvance(words_) + 14;
  const QRectF label(middle_.x() - w / 2, middle_.y() + kRadiusPx + 10, w, 20);
  p.setPen(QPen(QColor(chrome::kRule), 1));
  p.setBrush(sheet);
  p.drawRoundedRect(label, 4, 4);
  p.setFont(font);
  p.setPen(ink);
  p.drawText(label, Qt::AlignCenter, words_);
  p.restore();
}

}  // namespace leeward::ui
