#include "ui/panels/hour_strip.h"

#include "core/eval/air.h"
#include "core/eval/explain.h"
#include "ui/render/barb.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QKeyEvent>
#include <QMouseEvent>
#include <QPainter>
#include <QPainterPath>
#include <QWheelEvent>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kSide = 16;     // clear ends of the strip
constexpr double kBarbRow = 38;  // top of the barbs' row
constexpr double kSkyTop = 90;   // top of the light band
constexpr double kSkyHeight = 24;
constexpr int kStepMin = 5;
constexpr double kBarbLength = 20;
constexpr double kHeight = 146;
constexpr double kGrabPx = 6;

}  // namespace

Instant StripScale::at(double px, int step_min) const {
  const double share = std::clamp((px - left) / width, 0.0, 1.0);
  const double span_min = static_cast<double>((day.end - day.start).count()) / 60;
  const auto steps = static_cast<long>(std::lround(share * span_min / step_min));
  const Instant found = day.start + std::chrono::minutes{steps * step_min};
  return std::min(found, day.end - std::chrono::minutes{step_min});
}

HourStrip::HourStrip(QWidget* parent) : QWidget(parent) {
  setFocusPolicy(Qt::StrongFocus);
  setMouseTracking(true);
  takeLook();
  setAccessibleName(tr("Hours"));
  setToolTip(
      tr("Drag the sit along the day; arrow keys move it, Page Up and Page Down change the "
         "day"));
}

void HourStrip::setDocument(Ref<Document> document, LonLat place, double convergence_deg) {
  document_ = std::move(document);
  place_ = place;
  convergence_deg_ = convergence_deg;
  day_ = civil_day(arrive_, document_->settings->time_zone);
  sun_ = sun_day_of(arrive_, place_, *document_->settings);
  update();
}

void HourStrip::setArrive(Instant arrive) {
  arrive_ = arrive;
  const CivilDay day = civil_day(arrive, document_->settings->time_zone);
  if (day.start != day_.start) {
    day_ = day;
    sun_ = sun_day_of(arrive, place_, *document_->settings);
  }
  update();
}

void HourStrip::takeLook() {
  unit_ = textScale();
  setFixedHeight(typeLength(kHeight));
  update();
}

Instant HourStrip::leave() const {
  return arrive_ + std::chrono::minutes{document_->settings->sit_minutes};
}

StripScale HourStrip::scale() const { return {day_, kSide, breadth() - 2 * kSide}; }

QRectF HourStrip::skyBox() const {
  return QRectF(kSide, kSkyTop, breadth() - 2 * kSide, kSkyHeight);
}

std::vector<HourStrip::Chip> HourStrip::chips() const {
  std::vector<Chip> out;
  const std::string& zone = document_->settings->time_zone;
  const QFontMetricsF m(fontOfPixels(type::kLabel, QFont::DemiBold));
  double right = breadth() - kSide;
  std::vector<Instant> days = plannedDays(*document_, arrive_);
  if (days.size() > 8) days.resize(8);
  for (auto it = days.rbegin(); it != days.rend(); ++it) {
    const QString words = text(date_text(*it, zone)).section(QLatin1Char(' '), 0, 1);
    const double w = m.horizontalAdvance(words) + 16;
    out.push_back({QRectF(right - w, 5, w, 22), *it, words});
    right -= w + 4;
  }
  return out;
}

// --- painting ------------------------------------------------------------------------------------

QString HourStrip::title() const {
  const std::string& zone = document_->settings->time_zone;
  const QString sit =
      tr("Sit %1 to %2").arg(text(clock_text(arrive_, zone)), text(clock_text(leave(), zone)));
  return QStringLiteral("%1   %2").arg(text(date_text(arrive_, zone)), sit);
}

void HourStrip::paintTitle(QPainter& p) const {
  p.setFont(fontOfPixels(type::kBody, QFont::Bold));
  p.setPen(theme().ink);
  p.drawText(QRectF(kSide, 4, breadth() - 2 * kSide, 24), Qt::AlignVCenter | Qt::AlignLeft,
             title());
}

void HourStrip::paintChips(QPainter& p) const {
  p.setFont(fontOfPixels(type::kLabel, QFont::DemiBold));
  const double room =
      QFontMetricsF(fontOfPixels(type::kBody, QFont::Bold)).horizontalAdvance(title());
  for (const Chip& chip : chips()) {
    if (chip.box.left() < kSide + room + 14) continue;  // the title needs the room
    const bool now = chip.day == day_.start;
    p.setPen(QPen(now ? theme().ink : theme().edge, 1));
    p.setBrush(now ? theme().ink : theme().sheet);
    p.drawRoundedRect(chip.box, 4, 4);
    p.setPen(now ? theme().sheet : theme().ink);
    p.drawText(chip.box, Qt::AlignCenter, chip.words);
  }
}

void HourStrip::paintSky(QPainter& p) const {
  const StripScale s = scale();
  const QRectF box = skyBox();
  const auto part = [&](Instant from, Instant to, QRgb colour) {
    const double a = std::max(s.x(from), box.left()), b = std::min(s.x(to), box.right());
    if (b > a) p.fillRect(QRectF(a, box.top(), b - a, box.height()), QColor(colour));
  };
  p.save();
  p.setRenderHint(QPainter::Antialiasing, false);
  part(day_.start, day_.end, chrome::kNight);
  if (sun_.civil_dawn && sun_.civil_dusk)
    part(*sun_.civil_dawn, *sun_.civil_dusk, chrome::kTwilight);
  if (sun_.rise && sun_.set) part(*sun_.rise, *sun_.set, chrome::kDay);
  if (!sun_.rise && !sun_.set &&
      sun_now(day_.start + std::chrono::hours{12}, place_).altitude_deg > 0)
    part(day_.start, day_.end, chrome::kDay);
  p.setPen(QPen(theme().ink, 1));
  p.setBrush(Qt::NoBrush);
  p.drawRect(box);
  p.restore();
  p.setFont(fontOfPixels(type::kSmall, QFont::DemiBold));
  p.setPen(QColor(chrome::kInk));
  const std::string& zone = document_->settings->time_zone;
  if (sun_.rise && sun_.set) {
    const QRectF light(s.x(*sun_.rise) + 5, box.top(), s.x(*sun_.set) - s.x(*sun_.rise) - 10,
                       box.height());
    const QString rise = tr("sunrise %1").arg(text(clock_text(*sun_.rise, zone)));
    const QString set = tr("sunset %1").arg(text(clock_text(*sun_.set, zone)));
    const QFontMetricsF m(p.font());
    if (m.horizontalAdvance(rise) + m.horizontalAdvance(set) > light.width()) return;
    p.drawText(light, Qt::AlignLeft | Qt::AlignVCenter, rise);
    p.drawText(light, Qt::AlignRight | Qt::AlignVCenter, set);
  }
}

void HourStrip::paintLegal(QPainter& p) const {
  const StripScale s = scale();
  const QRectF box = skyBox();
  const std::string& zone = document_->settings->time_zone;
  QString words = tr("legal hours not set");
  double middle = box.center().x();
  if (sun_.rise && sun_.set) middle = (s.x(*sun_.rise) + s.x(*sun_.set)) / 2;
  if (sun_.legal_start && sun_.legal_end) {
    const double a = s.x(*sun_.legal_start), b = s.x(*sun_.legal_end);
    p.setPen(QPen(theme().ink, 3, Qt::SolidLine, Qt::FlatCap));
    p.drawLine(QPointF(a, box.top() - 3), QPointF(b, box.top() - 3));
    p.setPen(QPen(theme().ink, 2));
    for (const double x : {a, b}) p.drawLine(QPointF(x, box.top() - 8), QPointF(x, box.top()));
    middle = (a + b) / 2;
    words = tr("legal %1 to %2")
                .arg(text(clock_text(*sun_.legal_start, zone)),
                     text(clock_text(*sun_.legal_end, zone)));
  }
  p.setFont(fontOfPixels(type::kSmall, QFont::DemiBold));
  p.setPen(QColor(sun_.rise ? chrome::kInk : chrome::kSheet));
  const QFontMetricsF m(p.font());
  const double wide = m.horizontalAdvance(words);
  double room = box.width();
  if (sun_.rise && sun_.set)  // between the words of sunrise and sunset
    room = s.x(*sun_.set) - s.x(*sun_.rise) - 2 * m.horizontalAdvance(tr("sunrise 00:00"));
  if (wide > room - space(4)) return;
  p.drawText(QRectF(middle - wide / 2 - 1, box.top(), wide + 2, box.height()), Qt::AlignCenter,
             words);
}

void HourStrip::paintHours(QPainter& p) const {
  const StripScale s = scale();
  const QRectF box = skyBox();
  const std::vector<HourTick> ticks = hourTicks(day_, document_->settings->time_zone);
  const double hour_px = s.width / static_cast<double>(ticks.size());
  const int every = hour_px >= 24 ? 1 : hour_px >= 13 ? 2 : 3;
  p.setFont(fontOfPixels(type::kSmall));
  const QFontMetricsF m(p.font());
  for (const HourTick& tick : ticks) {
    const double x = s.x(tick.at);
    p.setPen(QPen(theme().ink, 1));
    const bool labelled = tick.clock_hour % every == 0;
    p.drawLine(QPointF(x, box.bottom()), QPointF(x, box.bottom() + (labelled ? 6 : 3)));
    if (labelled) {
      const QString words = QStringLiteral("%1%2")
                                .arg(tick.clock_hour, 2, 10, QLatin1Char('0'))
                                .arg(tick.repeated ? QStringLiteral("²") : QString());
      p.drawText(QPointF(x - m.horizontalAdvance(words) / 2, box.bottom() + 18), words);
    }
    const auto wind = windAt(*document_, tick.at);
    if (!wind || (hour_px < 24 && !labelled)) continue;
    std::optional<double> from = wind->from_deg;
    if (from) from = wrap_360(*from + convergence_deg_);
    drawBarb(p, QPointF(x + hour_px / 2, kBarbRow + 24), from, wind->speed_mps,
             std::min(kBarbLength, hour_px * 0.8), 1.3, theme().ink, place_.lat >= 0);
  }
  if (document_->wind_hours->empty() && !document_->settings->use_hand_wind) {
    p.setPen(theme().soft);
    p.drawText(QRectF(kSide, kBarbRow, s.width, 48), Qt::AlignCenter,
               tr("No wind: open a forecast file, or drag the dial on the map"));
  }
}

void HourStrip::paintSit(QPainter& p) const {
  const StripScale s = scale();
  const QRectF sky = skyBox();
  const double a = s.x(arrive_), b = std::min(s.x(leave()), sky.right());
  QColor tint = theme().accent;
  tint.setAlpha(34);
  const QRectF box(a, kBarbRow - 2, std::max(4.0, b - a), sky.bottom() - kBarbRow + 4);
  p.fillRect(box, tint);
  const QColor& accent = theme().accent;
  p.setPen(QPen(accent, 2));
  p.drawLine(QPointF(a, box.top()), QPointF(a, box.bottom()));
  p.drawLine(QPointF(a, box.top()), QPointF(a + 7, box.top()));
  if (s.x(leave()) <= sky.right()) {
    p.drawLine(QPointF(b, box.top()), QPointF(b, box.bottom()));
    p.drawLine(QPointF(b - 7, box.top()), QPointF(b, box.top()));
  }
  QPainterPath knob;
  knob.addPolygon(QPolygonF{{a - 7, box.top() - 9}, {a + 7, box.top() - 9}, {a, box.top() + 2}});
  knob.closeSubpath();
  p.fillPath(knob, accent);
  if (!hasFocus()) return;
  p.setPen(QPen(accent, 2));
  p.setBrush(Qt::NoBrush);
  p.drawRect(QRectF(1, 2, breadth() - 2, kHeight - 3));
}

void HourStrip::paintEvent(QPaintEvent*) {
  QPainter p(this);
  p.setRenderHint(QPainter::Antialiasing);
  p.fillRect(rect(), theme().paper);
  p.scale(unit_, unit_);
  p.setPen(QPen(theme().rule, 1));
  p.drawLine(QPointF(0, 0), QPointF(breadth(), 0));
  paintTitle(p);
  paintChips(p);
  paintSky(p);
  paintLegal(p);
  paintSit(p);
  paintHours(p);
}

// --- pointer and keys ----------------------------------------------------------------------------

void HourStrip::goToDay(Instant day) {
  const std::string& zone = document_->settings->time_zone;
  const CivilTime clock = to_civil(arrive_, zone), d = to_civil(day, zone);
  const auto at = from_civil(d.year, d.month, d.day, clock.hour, clock.minute, zone);
  if (at) emit arriveMoved(*at, true);
}

void HourStrip::moveBy(std::chrono::minutes step) { emit arriveMoved(arrive_ + step, true); }

void HourStrip::mousePressEvent(QMouseEvent* event) {
  if (event->button() != Qt::LeftButton) return;
  const QPointF at = event->position() / unit_;
  for (const Chip& chip : chips())
    if (chip.box.contains(at)) return goToDay(chip.day);
  if (at.y() < kBarbRow - 2) return;
  const StripScale s = scale();
  if (!read_only_ && std::abs(at.x() - s.x(leave())) < kGrabPx) {
    grab_ = Grab::leave;
    return;
  }
  grab_ = Grab::sit;
  const Instant here = s.at(at.x(), kStepMin);
  const bool inside = here >= arrive_ && here <= leave();
  grab_offset_ = inside ? here - arrive_ : std::chrono::seconds{0};
  if (!inside) emit arriveMoved(here, false);
}

void HourStrip::mouseMoveEvent(QMouseEvent* event) {
  const QPointF at = event->position() / unit_;
  const StripScale s = scale();
  if (grab_ == Grab::none) {
    const bool on_leave =
        !read_only_ && at.y() >= kBarbRow && std::abs(at.x() - s.x(leave())) < kGrabPx;
    setCursor(on_leave ? Qt::SizeHorCursor : Qt::ArrowCursor);
    return;
  }
  const Instant here = s.at(at.x(), kStepMin);
  if (grab_ == Grab::sit) {
    emit arriveMoved(std::max(here - grab_offset_, day_.start), false);
  } else {
    const auto minutes = std::chrono::duration_cast<std::chrono::minutes>(here - arrive_).count();
    emit sitStretched(static_cast<int>(std::clamp<long>(minutes, 15, 1440)), false);
  }
}

void HourStrip::mouseReleaseEvent(QMouseEvent*) {
  if (grab_ == Grab::sit) emit arriveMoved(arrive_, true);
  if (grab_ == Grab::leave) emit sitStretched(document_->settings->sit_minutes, true);
  grab_ = Grab::none;
}

void HourStrip::wheelEvent(QWheelEvent* event) {
  const int turn = event->angleDelta().y();
  if (turn != 0) moveBy(std::chrono::minutes{turn > 0 ? -15 : 15});
  event->accept();
}

void HourStrip::keyPressEvent(QKeyEvent* event) {
  const bool fine = event->modifiers() & Qt::ShiftModifier;
  const bool coarse = event->modifiers() & Qt::ControlModifier;
  const std::chrono::minutes step{fine ? kStepMin : coarse ? 60 : 15};
  switch (event->key()) {
    case Qt::Key_Left:
      return moveBy(-step);
    case Qt::Key_Right:
      return moveBy(step);
    case Qt::Key_PageUp:
      return goToDay(day_.start - std::chrono::hours{12});
    case Qt::Key_PageDown:
      return goToDay(day_.end);
    default:
      QWidget::keyPressEvent(event);
  }
}

void HourStrip::changeEvent(QEvent* event) {
  QWidget::changeEvent(event);
  if (event->type() == QEvent::StyleChange) takeLook();
  update();
}

}  // namespace leeward::ui
