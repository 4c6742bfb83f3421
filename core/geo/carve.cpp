#include "core/geo/carve.h"

#include "core/geo/geos_shapes.h"

#include <geos_c.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace leeward {
namespace {

using geos::collect;
using geos::Geom;
using geos::own;
using geos::to_geos;

constexpr double kSame_m = 0.001;

Error refused(const char* why) { return fail(ErrorCode::invalid_argument, why); }

/// Both ends drawn out by the reach of a drawn end.
Path reaching(Path line) {
  const auto out = [](LocalXY from, LocalXY end) {
    const double len = distance_m(from, end);
    return len > 0 ? end + (end - from) * (kReachOfDrawnEnd_m / len) : end;
  };
  if (line.size() < 2) return line;
  const LocalXY first = out(line[1], line[0]), last = out(line[line.size() - 2], line.back());
  line.front() = first, line.back() = last;
  return line;
}

Path closed(Path ring) {
  ring.push_back(ring.front());
  return ring;
}

/// Share of a-b at which it meets c-d, or nothing.
std::optional<double> meets(LocalXY a, LocalXY b, LocalXY c, LocalXY d) {
  const LocalXY u = b - a, v = d - c;
  const double across = cross(u, v);
  if (across == 0) return std::nullopt;
  const double t = cross(c - a, v) / across, s = cross(c - a, u) / across;
  constexpr double kSlack = 1e-9;
  if (t < -kSlack || t > 1 + kSlack || s < -kSlack || s > 1 + kSlack) return std::nullopt;
  return std::clamp(t, 0.0, 1.0);
}

Result<std::vector<Shape>> split_line(const Path& line, const Path& cut) {
  const double total_m = path_length_m(line);
  std::vector<Shape> pieces;
  double from_m = 0;
  for (const double at_m : crossings_m(line, reaching(cut))) {
    if (at_m < kSame_m || at_m > total_m - kSame_m) continue;
    pieces.push_back(Shape::line(stretch(line, from_m, at_m)));
    from_m = at_m;
  }
  if (pieces.empty()) return refused("the drawn line does not cross it");
  pieces.push_back(Shape::line(stretch(line, from_m, total_m)));
  return pieces;
}

Result<std::vector<Shape>> split_area(const Shape& area, const Path& cut) {
  const geos::Context context;
  const auto h = context.handle();
  const Geom whole = to_geos(context, area);
  const Geom line = to_geos(context, Shape::line(reaching(cut)));
  if (!whole || !line) return refused("the drawn line does not cross it");
  const Geom edge = own(context, GEOSBoundary_r(h, whole.get()));
  const Geom noded = own(context, edge ? GEOSUnion_r(h, edge.get(), line.get()) : nullptr);
  if (!noded) return context.error("the area could not be cut");
  const GEOSGeometry* lines = noded.get();
  const Geom cells = own(context, GEOSPolygonize_r(h, &lines, 1));
  if (!cells) return context.error("the area could not be cut");
  std::vector<Shape> all, pieces;
  collect(context, cells.get(), all);
  for (Shape& piece : all)  // holes come back as pieces too
    if (contains(area, anchor(piece))) pieces.push_back(std::move(piece));
  if (pieces.size() < 2) return refused("the drawn line does not cross it from edge to edge");
  return pieces;
}

}  // namespace

Result<std::vector<Shape>> split_by(const Shape& s, const Path& cut) {
  if (cut.size() < 2) return refused("the drawn line needs two points");
  if (s.type == ShapeType::line) return split_line(s.path(), cut);
  if (s.type == ShapeType::area) return split_area(s, cut);
  return refused("a point cannot be split");
}

std::vector<double> crossings_m(const Path& line, const Path& other) {
  std::vector<double> all;
  double before_m = 0;
  for (size_t i = 1; i < line.size(); ++i) {
    const double len = distance_m(line[i - 1], line[i]);
    for (size_t k = 1; k < other.size(); ++k)
      if (const auto t = meets(line[i - 1], line[i], other[k - 1], other[k]))
        all.push_back(before_m + *t * len);
    before_m += len;
  }
  std::sort(all.begin(), all.end());
  std::vector<double> out;
  for (const double at_m : all)
    if (out.empty() || at_m - out.back() > kSame_m) out.push_back(at_m);
  return out;
}

JoinedLines joined(const Path& a, const Path& b) {
  const std::array<double, 4> gap_m = {
      distance_m(a.back(), b.front()), distance_m(a.back(), b.back()),
      distance_m(a.front(), b.back()), distance_m(a.front(), b.front())};
  const auto best = std::min_element(gap_m.begin(), gap_m.end()) - gap_m.begin();
  JoinedLines out;
  out.b_first = best >= 2;
  out.b_reversed = best == 1 || best == 3;
  Path second = b;
  if (out.b_reversed) std::reverse(second.begin(), second.end());
  out.path = out.b_first ? second : a;
  const Path& rest = out.b_first ? a : second;
  const bool shared = distance_m(out.path.back(), rest.front()) < kSame_m;
  out.path.insert(out.path.end(), rest.begin() + (shared ? 1 : 0), rest.end());
  return out;
}

Result<Shape> merged(const std::vector<Shape>& areas) {
  const geos::Context context;
  Geom sum = own(context, nullptr);
  for (const Shape& area : areas) {
    Geom next = to_geos(context, area);
    if (!next) return refused("an area needs at least three corners");
    sum =
        sum ? own(context, GEOSUnion_r(context.handle(), sum.get(), next.get())) : std::move(next);
    if (!sum) return context.error("the areas could not be merged");
  }
  std::vector<Shape> pieces;
  if (sum) collect(context, sum.get(), pieces);
  if (pieces.size() != 1 || pieces[0].type != ShapeType::area)
    return refused("they do not touch along an edge: move them together first");
  return std::move(pieces[0]);
}

Result<std::vector<Shape>> cut_out(const Shape& area, const Path& ring) {
  auto hole = repaired(Shape::area(ring));
  if (!hole) return std::move(hole.error());
  const geos::Context context;
  Geom rest = to_geos(context, area);
  for (const Shape& piece : hole->pieces) {
    const Geom out = to_geos(context, piece);
    if (rest && out) rest = own(context, GEOSDifference_r(context.handle(), rest.get(), out.get()));
  }
  if (!rest) return context.error("the hole could not be cut");
  std::vector<Shape> all, pieces;
  collect(context, rest.get(), all);
  double left_m2 = 0;
  for (Shape& piece : all) {
    if (piece.type != ShapeType::area) continue;
    left_m2 += area_m2(piece);
    pieces.push_back(std::move(piece));
  }
  if (pieces.empty()) return refused("nothing of the area would be left");
  if (left_m2 > area_m2(area) * (1 - 1e-12)) return refused("the hole lies outside the area");
  return pieces;
}

Result<std::vector<Shape>> strip_along(const Path& line, double width_m) {
  if (!(width_m > 0)) return refused("a strip needs a width");
  const geos::Context context;
  const Geom g = to_geos(context, Shape::line(line));
  if (!g) return refused("a line needs at least two points");
  const Geom strip = own(context, GEOSBufferWithStyle_r(context.handle(), g.get(), width_m / 2, 8,
                                                        GEOSBUF_CAP_FLAT, GEOSBUF_JOIN_ROUND, 5));
  if (!strip) return context.error("the strip could not be made");
  std::vector<Shape> out;
  collect(context, strip.get(), out);
  return out;
}

Result<Shape> reshaped(const Shape& s, const Path& drawn) {
  if (s.type == ShapeType::point) return refused("a point has no edge");
  const bool area = s.type == ShapeType::area;
  const Path edge = area ? closed(s.path()) : s.path();
  const Path hand = reaching(drawn);
  const std::vector<double> on_hand = crossings_m(hand, edge);
  if (on_hand.size() < 2)
    return refused("draw across its edge twice: the edge between follows what is drawn");
  Path between = stretch(hand, on_hand.front(), on_hand.back());
  double a_m = nearest_on_path(edge, between.front()).at_m,
         b_m = nearest_on_path(edge, between.back()).at_m;
  if (a_m > b_m) {
    std::swap(a_m, b_m);
    std::reverse(between.begin(), between.end());
  }
  const double total_m = path_length_m(edge);
  const auto append = [](Path to, const Path& more) {
    for (const LocalXY p : more)
      if (to.empty() || distance_m(to.back(), p) > kSame_m) to.push_back(p);
    return to;
  };
  Path outer = append(stretch(edge, 0, a_m), between);
  outer = append(outer, stretch(edge, b_m, total_m));
  if (!area) return Shape::line(std::move(outer));
  outer.pop_back();  // the first vertex again
  std::reverse(between.begin(), between.end());
  Path inner = append(stretch(edge, a_m, b_m), between);
  inner.pop_back();
  Shape best = s, other = s;
  best.parts[0] = std::move(outer), other.parts[0] = std::move(inner);
  if (area_m2(other) > area_m2(best)) std::swap(best, other);
  if (const std::string why = shape_problem(best); !why.empty())
    return fail(ErrorCode::invalid_argument, "what comes out is no area: " + why);
  return best;
}

Path simplified(const Path& line, double tolerance_m) {
  if (line.size() < 3) return line;
  const geos::Context context;
  const Geom g = to_geos(context, Shape::line(line));
  const Geom simple =
      own(context, g ? GEOSSimplify_r(context.handle(), g.get(), tolerance_m) : nullptr);
  std::vector<Shape> out;
  if (simple) collect(context, simple.get(), out);
  return out.size() == 1 ? out[0].path() : line;
}

}  // namespace leeward
