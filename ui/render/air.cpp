#include "ui/render/air.h"

#include "ui/style/palette.h"

#include <QPainter>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace leeward::ui {
namespace {

constexpr int kSteps = 4;           // pieces of a stroke, two to each side of its place
constexpr double kLeastPx = 5;      // of a stroke that is drawn
constexpr double kMostShare = 0.8;  // of the spacing
constexpr double kShareAtOneMps = 0.45;

struct Flow {
  double east = 0, north = 0;
  double speed() const { return std::sqrt(east * east + north * north); }
};

Flow flowAt(const Raster<float>& east, const Raster<float>& north, LocalXY p) {
  return {static_cast<double>(sample(east, p)), static_cast<double>(sample(north, p))};
}

/// Calls `visit(place)` for every place of the grid in view and on the map; `shift` in spacings.
template <class Visit>
void overGrid(const Raster<float>& map, const MapTransform& t, double shift, Visit visit) {
  if (map.empty()) return;
  const double step = strokeSpacing_m(t.metresPerPx());
  const Box seen = t.visible(), held = map.spec.box();
  const double x0 = std::max(seen.min_x - step, held.min_x),
               x1 = std::min(seen.max_x + step, held.max_x);
  const double y0 = std::max(seen.min_y - step, held.min_y),
               y1 = std::min(seen.max_y + step, held.max_y);
  for (double y = (std::ceil(y0 / step - shift) + shift) * step; y <= y1; y += step)
    for (double x = (std::ceil(x0 / step - shift) + shift) * step; x <= x1; x += step)
      visit(LocalXY{x, y});
}

/// One step of `length_m` along the flow (negative: against it), by the midpoint rule. False where
/// the flow is unknown or stands.
bool advance(const AirMap& air, LocalXY& p, double length_m) {
  const auto unit = [&](LocalXY at, LocalXY& out) {
    const Flow f = flowAt(air.east, air.north, at);
    const double v = f.speed();
    if (!(v > 1e-3)) return false;
    out = {f.east / v, f.north / v};
    return true;
  };
  LocalXY d;
  if (!unit(p, d) || !unit(p + d * (length_m / 2), d)) return false;
  p = p + d * length_m;
  return true;
}

Path streamline(const AirMap& air, LocalXY place, double length_m) {
  Path line{place};
  LocalXY p = place;
  for (int i = 0; i < kSteps / 2 && advance(air, p, -length_m / kSteps); ++i)
    line.insert(line.begin(), p);
  p = place;
  for (int i = 0; i < kSteps / 2 && advance(air, p, length_m / kSteps); ++i) line.push_back(p);
  return line;
}

/// The outline of a stroke, `grow` wider than it is on every side.
QPolygonF outlineOf(QPolygonF line, double unit, double grow) {
  const auto n = line.size();
  std::array<QPointF, kSteps + 1> along{};
  double length = 0;
  for (qsizetype i = 0; i + 1 < n; ++i) {
    const QPointF d = line[i + 1] - line[i];
    const double len = std::max(std::sqrt(QPointF::dotProduct(d, d)), 1e-9);
    along[static_cast<std::size_t>(i)] = d / len;
    length += len;
  }
  const double head = std::clamp(0.42 * length, 3 * unit, 6.2 * unit);
  const QPointF first = along[0], last = along[static_cast<std::size_t>(n - 2)];
  const QPointF tip = line[n - 1] + last * (1.6 * grow);
  const QPointF base = line[n - 1] - last * head;
  // The line without what lies under the head.
  while (line.size() > 2 && QPointF::dotProduct(line[line.size() - 2] - base, last) > 0)
    line.remove(line.size() - 2);
  line[line.size() - 1] = base;
  line[0] -= first * grow;
  const auto side = [](QPointF d) { return QPointF(-d.y(), d.x()); };
  const auto m = line.size();
  QPolygonF out(2 * m + 3);  // one side up to the head, the head, the other side back
  for (qsizetype i = 0; i < m; ++i) {
    const double share = static_cast<double>(i) / static_cast<double>(m - 1);
    const QPointF d = i + 1 == m ? last : along[static_cast<std::size_t>(i)];
    const QPointF s = side(d) * ((0.4 + 0.5 * share) * unit + grow);
    out[i] = line[i] + s;
    out[2 * m + 2 - i] = line[i] - s;
  }
  const QPointF wing = side(last) * (0.52 * head + grow);
  const QPointF heel = base - last * grow;
  out[m] = heel + wing;
  out[m + 1] = tip;
  out[m + 2] = heel - wing;
  return out;
}

}  // namespace

double strokeSpacing_m(double metres_per_px) {
  return std::exp2(std::ceil(std::log2(28 * metres_per_px)));
}

QColor airInk() { return QColor(0xFF17323F); }
QColor airCasing() { return QColor(0xFFE9E6DA); }

std::vector<AirStroke> windStrokes(const AirMap& air, const MapTransform& t) {
  std::vector<AirStroke> out;
  const double spacing_m = strokeSpacing_m(t.metresPerPx());
  overGrid(air.east, t, 0, [&](LocalXY place) {
    const double v = flowAt(air.east, air.north, place).speed();
    if (std::isnan(v)) return;
    if (v < kStillAir_mps) return out.push_back({{place}, v});
    const double share = std::min(kMostShare, kShareAtOneMps * std::sqrt(v));
    const double length_m = std::max(share * spacing_m, kLeastPx * t.metresPerPx());
    Path line = streamline(air, place, length_m);
    if (line.size() > 1) out.push_back({std::move(line), v});
  });
  return out;
}

void drawWindStrokes(QPainter& painter, const MapTransform& t, const AirMap& air, double strength) {
  const std::vector<AirStroke> strokes = windStrokes(air, t);
  const auto fill = [&](const QColor& colour, double dot_px, double grow_px) {
    painter.setBrush(colour);
    for (const AirStroke& stroke : strokes) {
      const QPolygonF line = t.toDevice(stroke.line);
      if (line.size() < 2) {
        painter.drawEllipse(line[0], t.px(dot_px), t.px(dot_px));
      } else {
        painter.drawPolygon(outlineOf(line, t.devicePerPx(), t.px(grow_px)), Qt::WindingFill);
      }
    }
  };
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setPen(Qt::NoPen);
  painter.setOpacity(painter.opacity() * strength);
  fill(airCasing(), 2.4, 0.8);
  fill(airInk(), 1.5, 0);
  painter.restore();
}

std::vector<SlopeMark> slopeMarks(const AirMap& air, const MapTransform& t) {
  std::vector<SlopeMark> out;
  overGrid(air.slope_east, t, 0.5, [&](LocalXY place) {
    const Flow f = flowAt(air.slope_east, air.slope_north, place);
    if (f.speed() >= kLeastSlopeAir_mps)
      out.push_back({place, Bearing::of(f.east, f.north), f.speed()});
  });
  return out;
}

void drawSlopeAir(QPainter& painter, const MapTransform& t, const AirMap& air) {
  std::vector<QPolygonF> chevrons;
  for (const SlopeMark& m : slopeMarks(air, t)) {
    const double size = t.px(3 + 4 * std::min(1.0, std::sqrt(m.speed_mps)));
    const QPointF ahead = t.ahead(m.toward), side(-ahead.y(), ahead.x());
    const QPointF at = t.toDevice(m.at);
    for (const double shift : {-0.45, 0.45}) {
      const QPointF tip = at + ahead * (size * (0.45 + shift));
      const QPointF heel = tip - ahead * (0.8 * size);
      chevrons.push_back({heel + side * size, tip, heel - side * size});
    }
  }
  painter.save();
  painter.setRenderHint(QPainter::Antialiasing);
  painter.setBrush(Qt::NoBrush);
  for (const auto& [colour, width_px] : {std::pair(airCasing(), 3.6), {airInk(), 1.5}}) {
    QPen pen(colour, t.px(width_px));
    pen.setCapStyle(Qt::RoundCap);
    pen.setJoinStyle(Qt::RoundJoin);
    painter.setPen(pen);
    for (const QPolygonF& chevron : chevrons) painter.drawPolyline(chevron);
  }
  painter.restore();
}

}  // namespace leeward::ui
