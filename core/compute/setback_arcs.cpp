#include "core/compute/setback_arcs.h"

#include <algorithm>
#include <set>

namespace leeward::compute {
namespace {

constexpr double kTouchM = 1e-6;  // a path that touches the setback counts as inside it

/// An edge in the shooter's frame; a point is an edge without length.
struct Edge {
  LocalXY a, b;
};

LocalXY nearest_point(const Edge& e, LocalXY p) {
  const LocalXY d = e.b - e.a;
  const double dd = dot(d, d);
  const double s = dd > 0 ? std::clamp(dot(p - e.a, d) / dd, 0.0, 1.0) : 0.0;
  return e.a + d * s;
}
double apart_m(const Edge& e, LocalXY p) { return distance_m(nearest_point(e, p), p); }

/// Proper crossing only: where an end lies on the other edge, the distance of that end is 0.
bool cross_each_other(const Edge& e, const Edge& f) {
  const LocalXY de = e.b - e.a, df = f.b - f.a;
  const double a = cross(de, f.a - e.a), b = cross(de, f.b - e.a);
  const double c = cross(df, e.a - f.a), d = cross(df, e.b - f.a);
  return ((a > 0) != (b > 0)) && ((c > 0) != (d > 0)) && a != 0 && b != 0 && c != 0 && d != 0;
}
double apart_m(const Edge& e, const Edge& f) {
  if (cross_each_other(e, f)) return 0;
  return std::min({apart_m(e, f.a), apart_m(e, f.b), apart_m(f, e.a), apart_m(f, e.b)});
}

bool path_meets(const Edge& edge, double setback_m, double bearing_deg, double travel_m) {
  const Edge path{{}, moved({}, Bearing::degrees(bearing_deg), travel_m)};
  return apart_m(path, edge) <= setback_m + kTouchM;
}

std::vector<Edge> edges_of(const Shape& s, LocalXY shooter) {
  std::vector<Edge> out;
  for (const Path& part : s.parts) {
    if (part.empty()) continue;
    if (part.size() == 1) out.push_back({part[0] - shooter, part[0] - shooter});
    for (size_t i = 1; i < part.size(); ++i)
      out.push_back({part[i - 1] - shooter, part[i] - shooter});
    if (s.type == ShapeType::area && part.size() > 2)
      out.push_back({part.back() - shooter, part.front() - shooter});
  }
  return out;
}

/// Bearings from, to in degrees with from <= to, not wrapped.
struct Span {
  double from = 0, to = 0;
  std::set<int> setbacks;
};

double outer_end(const Edge& edge, double setback_m, double travel_m, double inside, double clear) {
  while (std::abs(clear - inside) > kArcEdgeDeg) {
    const double middle = (inside + clear) / 2;
    (path_meets(edge, setback_m, middle, travel_m) ? inside : clear) = middle;
  }
  return clear;
}

/// The arc about one edge, if there is one.
void add_span(const Edge& edge, int index, double setback_m, double travel_m,
              std::vector<Span>& spans) {
  const LocalXY nearest = nearest_point(edge, {});
  const double away = length_m(nearest);
  if (away > travel_m + setback_m + kTouchM) return;
  if (away <= setback_m + kTouchM) {
    spans.push_back({0, 360, {index}});
    return;
  }
  const double toward = Bearing::of(nearest.x, nearest.y).degrees();
  spans.push_back({outer_end(edge, setback_m, travel_m, toward, toward - 180),
                   outer_end(edge, setback_m, travel_m, toward, toward + 180),
                   {index}});
}

/// Spans within [0, 360], cut at north, sorted and merged where they touch.
std::vector<Span> merged(const std::vector<Span>& spans) {
  std::vector<Span> cut;
  for (const Span& s : spans) {
    if (s.to - s.from >= 360) {
      cut.push_back({0, 360, s.setbacks});
      continue;
    }
    const double from = wrap_360(s.from), to = from + (s.to - s.from);
    cut.push_back({from, std::min(to, 360.0), s.setbacks});
    if (to > 360) cut.push_back({0, to - 360, s.setbacks});
  }
  std::sort(cut.begin(), cut.end(), [](const Span& a, const Span& b) { return a.from < b.from; });
  std::vector<Span> out;
  for (Span& s : cut) {
    if (out.empty() || s.from > out.back().to) {
      out.push_back(std::move(s));
    } else {
      out.back().to = std::max(out.back().to, s.to);
      out.back().setbacks.merge(s.setbacks);
    }
  }
  return out;
}

/// Of spans as merged() gives them; the two that a cut at north made are one again.
std::vector<SetbackArc> arcs_of(std::vector<Span> parts) {
  const bool across_north = parts.size() > 1 && parts.front().from <= 0 && parts.back().to >= 360;
  if (across_north) {
    parts.back().to = parts.front().to;
    parts.back().setbacks.merge(parts.front().setbacks);
    parts.erase(parts.begin());
  }
  std::vector<SetbackArc> out;
  for (const Span& p : parts) {
    SetbackArc arc;
    arc.whole_circle = !across_north && p.from <= 0 && p.to >= 360;
    if (!arc.whole_circle) arc.from = Bearing::degrees(p.from), arc.to = Bearing::degrees(p.to);
    arc.setbacks.assign(p.setbacks.begin(), p.setbacks.end());
    out.push_back(std::move(arc));
  }
  return out;
}

}  // namespace

std::vector<int> setbacks_met(LocalXY shooter, Bearing toward, double travel_m,
                              std::span<const Setback> setbacks) {
  std::vector<int> out;
  for (size_t i = 0; i < setbacks.size(); ++i) {
    const Setback& s = setbacks[i];
    const auto edges = edges_of(s.shape, shooter);
    if (contains(s.shape, shooter) || std::any_of(edges.begin(), edges.end(), [&](const Edge& e) {
          return path_meets(e, s.distance_m, toward.degrees(), travel_m);
        })) {
      out.push_back(static_cast<int>(i));
    }
  }
  return out;
}

std::vector<SetbackArc> setback_arcs(LocalXY shooter, double travel_m,
                                     std::span<const Setback> setbacks) {
  std::vector<Span> spans;
  for (size_t i = 0; i < setbacks.size(); ++i) {
    const Setback& s = setbacks[i];
    const int index = static_cast<int>(i);
    if (contains(s.shape, shooter)) {
      spans.push_back({0, 360, {index}});
      continue;
    }
    for (const Edge& e : edges_of(s.shape, shooter))
      add_span(e, index, s.distance_m, travel_m, spans);
  }
  return arcs_of(merged(spans));
}

std::vector<SetbackArc> together(std::span<const SetbackArc> arcs) {
  std::vector<Span> spans;
  for (const SetbackArc& a : arcs) {
    const double from = a.whole_circle ? 0 : a.from.degrees();
    spans.push_back({from, from + a.width_deg(), {}});
  }
  return arcs_of(merged(spans));
}

double covered_deg(std::span<const SetbackArc> arcs) {
  double sum = 0;
  for (const SetbackArc& a : arcs) sum += a.width_deg();
  return std::min(sum, 360.0);
}

}  // namespace leeward::compute
