#include "ui/print/way_words.h"

#include "core/eval/explain.h"
#include "ui/style/type.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace leeward::ui {
namespace {

constexpr double kBeside_m = 25;
constexpr size_t kLandmarksALeg = 2;
constexpr double kBend_m = 5, kAlong_m = 8;

/// Metres along a-b where it meets c-d, or nothing.
std::optional<double> meetsAt(LocalXY a, LocalXY b, LocalXY c, LocalXY d) {
  const LocalXY along = b - a, other = d - c;
  const double turn = cross(along, other);
  if (std::abs(turn) < 1e-12) return std::nullopt;
  const double t = cross(c - a, other) / turn, u = cross(c - a, along) / turn;
  if (t < 0 || t > 1 || u < 0 || u > 1) return std::nullopt;
  return t * length_m(along);
}

std::optional<double> firstCrossing(LocalXY a, LocalXY b, const Path& line, bool closed) {
  std::optional<double> first;
  const size_t n = line.size(), last = closed ? n : n - 1;
  for (size_t i = 0; i < last; ++i) {
    const auto at = meetsAt(a, b, line[i], line[(i + 1) % n]);
    if (at && (!first || *at < *first)) first = at;
  }
  return first;
}

bool isLandmarkPoint(Kind kind) {
  return kind == Kind::dwelling || kind == Kind::camera || kind == Kind::mock_scrape ||
         kind == Kind::note || kind == Kind::stand || kind == Kind::gate;
}

std::optional<Landmark> beside(const Feature& f, LocalXY from, LocalXY to, UnitSystem units) {
  const LocalXY p = f.shape.position();
  if (distance_m(p, from) < 5 || distance_m(p, to) < 5) return std::nullopt;
  const NearestOnPath near = nearest_on_path({from, to}, p);
  if (near.distance_m > kBeside_m) return std::nullopt;
  const QString name = text(display_name(f));
  if (near.distance_m < 3) return Landmark{f.uid, near.at_m, QStringLiteral("by ") + name, {}};
  const bool left = cross(to - from, p - from) > 0;
  return Landmark{f.uid,
                  near.at_m,
                  QStringLiteral("past %1, %2 to the %3")
                      .arg(name, text(distance_text(near.distance_m, units)),
                           left ? QStringLiteral("left") : QStringLiteral("right")),
                  {}};
}

const char* crossingVerb(Kind kind) {
  switch (kind) {
    case Kind::barrier:
      return "through ";
    case Kind::human_path:
    case Kind::deer_trail:
    case Kind::road:
      return "across ";
    default:
      return "over ";
  }
}

/// Ends of legs that stay when bends of less than kBend_m are left out (Douglas and Peucker 1973).
void keepBends(const Path& points, size_t first, size_t last, std::vector<size_t>& kept) {
  double worst_m = 0;
  size_t at = first;
  for (size_t i = first + 1; i < last; ++i) {
    const double m = nearest_on_path({points[first], points[last]}, points[i]).distance_m;
    if (m > worst_m) worst_m = m, at = i;
  }
  if (worst_m >= kBend_m) {
    keepBends(points, first, at, kept);
    keepBends(points, at, last, kept);
  } else {
    kept.push_back(last);
  }
}

Ref<Feature> followed(const Document& d, LocalXY from, LocalXY to) {
  for (const Kind kind : {Kind::human_path, Kind::road}) {
    for (const auto& f : d.of(kind)) {
      if (f->name.empty() || f->shape.type != ShapeType::line) continue;
      const auto near = [&](double share) {
        return nearest_on_path(f->shape.path(), from + (to - from) * share).distance_m <= kAlong_m;
      };
      if (near(0) && near(0.5) && near(1)) return f;
    }
  }
  return nullptr;
}

/// A turn with the points that it leads over.
struct Stretch {
  Path points;
  Ref<Feature> along;
};

std::vector<Stretch> stretchesOf(const Document& d, const Path& points) {
  std::vector<size_t> kept = {0};
  keepBends(points, 0, points.size() - 1, kept);
  std::vector<Stretch> out;
  for (size_t i = 1; i < kept.size(); ++i) {
    const LocalXY a = points[kept[i - 1]], b = points[kept[i]];
    Ref<Feature> along = followed(d, a, b);
    if (out.empty() || !along || out.back().along != along) out.push_back({{a}, along});
    out.back().points.push_back(b);
  }
  return out;
}

}  // namespace

std::vector<Landmark> landmarksOn(const Document& d, LocalXY from, LocalXY to,
                                  const std::vector<Uid>& without) {
  const UnitSystem units = d.settings->units;
  std::vector<Landmark> out;
  for (const KindInfo& k : all_kinds()) {
    if (k.kind == Kind::shooting_lane || k.kind == Kind::boundary) continue;
    for (const auto& f : d.of(k.kind)) {
      if (f->name.empty() || std::find(without.begin(), without.end(), f->uid) != without.end())
        continue;
      const QString name = text(f->name);
      if (f->shape.type == ShapeType::point) {
        if (!isLandmarkPoint(k.kind)) continue;
        if (auto mark = beside(*f, from, to, units)) out.push_back(*mark);
        continue;
      }
      const bool area = f->shape.type == ShapeType::area;
      if (area && (contains(f->shape, from) || !contains(f->shape, to))) continue;
      const auto at = firstCrossing(from, to, f->shape.path(), area);
      if (!at) continue;
      out.push_back({f->uid, *at, text(area ? "into " : crossingVerb(k.kind)) + name,
                     *at > 5 ? text(distance_text(*at, units)) : QString()});
    }
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const Landmark& a, const Landmark& b) { return a.at_m < b.at_m; });
  return out;
}

std::vector<WayTurn> turnsOf(const Document& d, const Way& way, const Norths& norths) {
  Path points;
  if (way.points.empty() || way.legs.empty()) return {};
  points.push_back(way.points.front());
  for (const WayLeg& leg : way.legs) points.push_back(leg.to);
  std::vector<Uid> ends = {way.gate};
  for (const auto& stand : d.of(Kind::stand))
    for (const LocalXY end : {points.front(), points.back()})
      if (distance_m(stand->shape.position(), end) < 5) ends.push_back(stand->uid);
  std::vector<WayTurn> out;
  for (const Stretch& s : stretchesOf(d, points)) {
    WayTurn turn;
    turn.compass_deg = norths.compassDeg(bearing(s.points.front(), s.points.back()));
    turn.length_m = path_length_m(s.points);
    turn.steps = static_cast<int>(std::lround(turn.length_m / d.settings->pace_m));
    std::vector<Uid> without = ends;
    if (s.along) {
      turn.along = text(s.along->name);
      without.push_back(s.along->uid);
    }
    QStringList words;
    double before_m = 0;
    for (size_t i = 1; i < s.points.size(); ++i) {
      for (Landmark& mark : landmarksOn(d, s.points[i - 1], s.points[i], without)) {
        if (words.size() == static_cast<qsizetype>(kLandmarksALeg)) break;
        without.push_back(mark.feature);  // each once
        if (i > 1 && !mark.at_words.isEmpty())
          mark.at_words = text(distance_text(before_m + mark.at_m, d.settings->units));
        words << mark.words +
                     (mark.at_words.isEmpty() ? QString() : QStringLiteral(" at ") + mark.at_words);
      }
      before_m += distance_m(s.points[i - 1], s.points[i]);
    }
    turn.landmarks = words.join(QStringLiteral("; "));
    out.push_back(turn);
  }
  return out;
}

QString bearingWords(double compass_deg) {
  const long whole = std::lround(wrap_360(compass_deg)) % 360;
  return QStringLiteral("%1°").arg(whole, 3, 10, QLatin1Char('0'));
}

QString turnWords(const WayTurn& turn, UnitSystem units) {
  return QStringLiteral("%1 %2 (%3 steps)")
             .arg(bearingWords(turn.compass_deg), text(distance_text(turn.length_m, units)))
             .arg(turn.steps) +
         (turn.along.isEmpty() ? QString() : QStringLiteral(" along ") + turn.along);
}

}  // namespace leeward::ui
