#include "ui/canvas/wind_dial.h"

#include "core/base/units.h"
#include "ui/render/barb.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QLineF>
#include <QObject>
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

QPointF WindDial::knob() const {
  return middle_ + ahead(from_deg_.value_or(0) - up_deg_, kRadiusPx * unit_);
}

bool WindDial::hit(QPointF at) const {
  return QLineF(middle_, at).length() <= (kRadiusPx + 8) * unit_;
}

double WindDial::bearingAt(QPointF at, bool fine) const {
  const QPointF d = at - middle_;
  const double deg = Bearing::of(d.x(), -d.y()).degrees() + up_deg_;
  const double step = fine ? 1 : 5;
  return wrap_360(std::round(deg / step) * step);
}

QRectF WindDial::box() const {
  return QRectF(middle_ - QPointF(kRadiusPx + 10, kRadiusPx + 10) * unit_,
                QSizeF(2 * kRadiusPx + 20, 2 * kRadiusPx + 42) * unit_);
}

void WindDial::paint(QPainter& p) const {
  p.save();
  p.setRenderHint(QPainter::Antialiasing);
  p.translate(middle_);
  p.scale(unit_, unit_);
  paintDisc(p);
  paintWords(p);
  p.restore();
}

void WindDial::paintDisc(QPainter& p) const {
  QColor sheet = theme().sheet;
  sheet.setAlpha(230);
  p.setPen(QPen(theme().ink, 1.2));
  p.setBrush(sheet);
  p.drawEllipse(QPointF(0, 0), kRadiusPx, kRadiusPx);
  for (int i = 0; i < 16; ++i) {
    const double inner = kRadiusPx - (i % 4 == 0 ? 7 : i % 2 == 0 ? 5 : 3);
    const double deg = i * 22.5 - up_deg_;
    p.drawLine(ahead(deg, inner), ahead(deg, kRadiusPx));
  }
  const QFont small = fontOfPixels(type::kSmall, QFont::Bold);
  p.setFont(small);
  const QFontMetricsF m(small);
  const bool covered = from_deg_ && std::abs(wrap_180(*from_deg_)) < 25;
  if (!covered) {
    const QPointF at = ahead(-up_deg_, kRadiusPx - 14);
    p.drawText(QRectF(at - QPointF(9, 9), QSizeF(18, 18)), Qt::AlignCenter, QObject::tr("N"));
  }
  std::optional<double> from = from_deg_;
  if (from) from = wrap_360(*from - up_deg_);
  drawBarb(p, QPointF(0, 0), from, speed_mps_, kRadiusPx * 0.72, 2, theme().accent, northern_);
  if (!from) return;
  p.setPen(QPen(theme().sheet, 1.6));
  p.setBrush(theme().accent);
  p.drawEllipse(ahead(*from, kRadiusPx), 7, 7);
}

void WindDial::paintWords(QPainter& p) const {
  QColor sheet = theme().sheet;
  sheet.setAlpha(230);
  const QFont font = fontOfPixels(type::kLabel, QFont::DemiBold);
  const double w = QFontMetricsF(font).horizontalAdvance(words_) + space(4);
  const QRectF label(-w / 2, kRadiusPx + 10, w, space(5));
  p.setPen(QPen(theme().rule, 1));
  p.setBrush(sheet);
  p.drawRoundedRect(label, kSpacePx, kSpacePx);
  p.setFont(font);
  p.setPen(theme().ink);
  p.drawText(label, Qt::AlignCenter, words_);
}

}  // namespace leeward::ui
