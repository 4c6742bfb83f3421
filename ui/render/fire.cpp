#include "ui/render/fire.h"

#include "core/compute/shot.h"
#include "ui/render/hatch.h"
#include "ui/render/symbols.h"
#include "ui/style/palette.h"
#include "ui/style/type.h"

#include <QFontMetricsF>
#include <QPainter>
#include <QPainterPath>

#include <algorithm>
#include <cmath>

namespace leeward::ui {
namespace {

constexpr double kLeastBandPx = 4;
constexpr double kToothPx = 6, kToothEvery_deg = 6, kCombOffPx = 4;

struct Band {
  const WeaponFire* fire = nullptr;
  double from_m = 0, to_m = 0;
};
/// Nearest first. Weapons of equal reach share a band: each is drawn over the other.
std::vector<Band> bandsOf(const StandResult& stand) {
  std::vector<const WeaponFire*> order;
  for (const WeaponFire& f : stand.fire) order.push_back(&f);
  std::stable_sort(order.begin(), order.end(),
                   [](const auto* a, const auto* b) { return a->outer_m < b->outer_m; });
  std::vector<Band> out;
  for (const WeaponFire* f : order) {
    double inner = 0;
    for (const Band& b : out)
      if (b.to_m < f->outer_m) inner = std::max(inner, b.to_m);
    out.push_back({f, inner, f->outer_m});
  }
  return out;
}

QPointF place(const MapTransform& t, LocalXY at, double deg, double range_m) {
  return t.toDevice(moved(at, Bearing::degrees(deg), range_m));
}

void arcTo(QPainterPath& path, const MapTransform& t, LocalXY at, double from_deg, double to_deg,
           double range_m, bool on) {
  const int n = std::max(2, static_cast<int>(std::abs(to_deg - from_deg) / 3));
  for (int i = 0; i <= n; ++i) {
    const QPointF p =
        place(t, at, std::lerp(from_deg, to_deg, i / static_cast<double>(n)), range_m);
    on || i > 0 ? path.lineTo(p) : path.moveTo(p);
  }
}

QPainterPath sector(const MapTransform& t, LocalXY at, double from_deg, double to_deg,
                    const Band& band) {
  QPainterPath path;
  if (band.from_m <= 0 && to_deg - from_deg < 360) {
    path.moveTo(t.toDevice(at));
    arcTo(path, t, at, from_deg, to_deg, band.to_m, true);
  } else {
    arcTo(path, t, at, from_deg, to_deg, band.to_m, false);
    const bool whole = to_deg - from_deg >= 360;
    if (whole) path.closeSubpath();
    if (band.from_m > 0) arcTo(path, t, at, to_deg, from_deg, band.from_m, !whole);
  }
  path.closeSubpath();
  path.setFillRule(Qt::OddEvenFill);
  return path;
}

void drawClosed(QPainter& p, const MapTransform& t, const QPainterPath& path, bool vector) {
  QColor pale(chrome::kSheet);
  pale.setAlpha(110);
  QColor casing(chrome::kSheet);
  casing.setAlpha(150);
  fillHatched(p, t, path, Hatch::bars, QColor(chrome::kAccent), vector, casing);
  p.setBrush(Qt::NoBrush);
  p.setPen(QPen(pale, t.px(3.4)));
  p.drawPath(path);
  p.setPen(QPen(QColor(chrome::kAccent), t.px(1.3)));
  p.drawPath(path);
}

/// A line along the outside of the reach with teeth that point outward.
void drawComb(QPainter& p, const MapTransform& t, LocalXY at, double range_m, const FireRun& run) {
  const double px = t.metresPerPx(), base = range_m + kCombOffPx * px;
  QPainterPath path;
  arcTo(path, t, at, run.from_deg, run.to_deg, base, false);
  const double width = run.to_deg - run.from_deg;
  const int teeth = std::max(1, static_cast<int>(std::floor(width / kToothEvery_deg)));
  for (int i = 0; i <= teeth; ++i) {
    const double deg = run.from_deg + width * i / teeth;
    path.moveTo(place(t, at, deg, base));
    path.lineTo(place(t, at, deg, base + kToothPx * px));
  }
  p.setBrush(Qt::NoBrush);
  p.setPen(QPen(QColor(chrome::kSheet), t.px(3.6)));
  p.drawPath(path);
  QPen pen(QColor(chrome::kInk), t.px(1.3));
  if (!run.known) pen.setDashPattern({1.6, 1.8});
  p.setPen(pen);
  p.drawPath(path);
}

}  // namespace

std::vector<FireRun> openRuns(const std::vector<compute::LineOfFire>& lines) {
  const int n = static_cast<int>(lines.size());
  if (n == 0) return {};
  using compute::FireOutcome;
  const auto open = [&](int i) {
    const FireOutcome o = lines[static_cast<size_t>((i + n) % n)].outcome;
    return o == FireOutcome::clears_ground || o == FireOutcome::unknown;
  };
  const auto same = [&](int i, int j) {
    return open(i) && open(j) &&
           lines[static_cast<size_t>((i + n) % n)].outcome ==
               lines[static_cast<size_t>((j + n) % n)].outcome;
  };
  const double step = 360.0 / n;
  const auto known = [&](int i) {
    return lines[static_cast<size_t>(i % n)].outcome == FireOutcome::clears_ground;
  };
  int first = 0;
  while (first < n && same(first - 1, first)) ++first;
  if (first == n) return {{-step / 2, 360 - step / 2, known(0)}};
  std::vector<FireRun> out;
  for (int i = first; i < first + n; ++i) {
    if (!open(i)) continue;
    if (i > first && same(i - 1, i)) {
      out.back().to_deg += step;
    } else {
      out.push_back({(i - 0.5) * step, (i + 0.5) * step, known(i)});
    }
  }
  return out;
}

void drawFire(QPainter& painter, const MapTransform& t, LocalXY at, const StandResult& stand,
              bool vector) {
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  for (const Band& band : bandsOf(stand)) {
    const WeaponFire& fire = *band.fire;
    if (band.to_m / t.metresPerPx() < kSymbolRadiusPx + 4 ||
        (band.to_m - band.from_m) / t.metresPerPx() < kLeastBandPx)
      continue;
    const bool whole = !fire.entered() || (!fire.closed.empty() && fire.closed[0].whole_circle);
    if (whole) {
      drawClosed(painter, t, sector(t, at, 0, 360, band), vector);
    } else {
      for (const compute::SetbackArc& arc : fire.closed) {
        const double from = arc.from.degrees();
        drawClosed(painter, t, sector(t, at, from, from + arc.width_deg(), band), vector);
      }
    }
    for (const FireRun& run : openRuns(fire.lines)) drawComb(painter, t, at, band.to_m, run);
  }
  painter.restore();
}

void drawFireLabels(QPainter& painter, const MapTransform& t, const Document& document, LocalXY at,
                    const StandResult& stand, LabelPlacer& placer) {
  const QFont font = fontOfPixels(t.type(type::kSmall), QFont::DemiBold);
  for (const Band& band : bandsOf(stand)) {
    const WeaponFire& fire = *band.fire;
    if (fire.entered() || band.to_m / t.metresPerPx() < 40) continue;
    const Ref<Weapon> weapon = document.find_weapon(fire.weapon);
    const QString words =
        (weapon ? text(weapon->name) + QStringLiteral(": ") : QString()) +
        (fire.not_entered.empty() ? QStringLiteral("farthest travel not entered")
                                  : QStringLiteral("setback not entered, check local law"));
    for (const double deg : {180.0, 0.0, 150.0, 210.0}) {
      const double middle = std::max(band.from_m, band.to_m - 10 * t.metresPerPx());
      if (placer.label(painter, t, place(t, at, deg, middle), 0, words, font,
                       QColor(chrome::kAccent)))
        break;
    }
  }
}

}  // namespace leeward::ui
