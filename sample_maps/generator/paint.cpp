#include "sample_maps/generator/paint.h"

#include "core/base/parallel.h"
#include "sample_maps/generator/noise.h"

#include <algorithm>

namespace leeward::demo {
namespace {

struct Rgb {
  double r = 0, g = 0, b = 0;
};
Rgb mix(Rgb a, Rgb b, double t) {
  return {a.r + (b.r - a.r) * t, a.g + (b.g - a.g) * t, a.b + (b.b - a.b) * t};
}
Rgb lit(Rgb c, double light) { return {c.r * light, c.g * light, c.b * light}; }

bool is_woods(Ground g) {
  return g == Ground::woods || g == Ground::mixed_woods || g == Ground::conifers;
}
double evergreen_share(Ground g) {
  return g == Ground::conifers ? 0.92 : g == Ground::mixed_woods ? 0.28 : 0.05;
}
double crown_spacing(Ground g) { return g == Ground::conifers ? 4.6 : 7.4; }

void burn(Raster<std::uint8_t>& map, const Shape& shape, Ground value) {
  for_each_cell_in(shape, map.spec,
                   [&](int c, int r) { map.at(c, r) = static_cast<std::uint8_t>(value); });
}
void burn_strip(Raster<std::uint8_t>& map, const Path& path, double width_m, Ground value) {
  if (auto strip = buffered(Shape::line(path), width_m / 2)) {
    for (const Shape& s : *strip) burn(map, s, value);
  }
}

Ground of_cover(CoverType t) {
  switch (t) {
    case CoverType::hardwood:
      return Ground::woods;
    case CoverType::mixed:
      return Ground::mixed_woods;
    case CoverType::conifer:
      return Ground::conifers;
    case CoverType::brush:
      return Ground::brush;
    case CoverType::tall_grass:
      return Ground::grass;
    case CoverType::standing_crop:
      return Ground::corn;
    case CoverType::hinge_cut:
      return Ground::felled;
    case CoverType::open:
      return Ground::pasture;
  }
  return Ground::pasture;
}

Ground of_food(const FoodAttrs& f) {
  if (f.crop.find("clover") != std::string::npos) return Ground::clover;
  if (f.crop.find("alfalfa") != std::string::npos) return Ground::alfalfa;
  if (f.crop.find("turnip") != std::string::npos) return Ground::brassica;
  return Ground::stubble;
}

// Rows of a field run at an angle; -1..1.
double rows_at(LocalXY p, double angle_deg, double spacing_m) {
  const double a = angle_deg * kRadPerDeg;
  const double off = (p.x - kWest) * std::cos(a) + (p.y - kSouth) * std::sin(a) +
                     3 * value_noise(p.x / 60, p.y / 60, kSeed + 40);
  return std::sin(2 * kPi * off / spacing_m);
}

Rgb field_colour(Ground g, LocalXY p, double coarse, double fine) {
  switch (g) {
    case Ground::stubble:
      return lit(mix({182, 164, 124}, {150, 130, 96}, 0.5 + 0.4 * coarse),
                 1 + 0.07 * rows_at(p, 8, 3.0) + 0.06 * fine);
    case Ground::corn:
      return lit(mix({176, 152, 96}, {152, 128, 76}, 0.5 + 0.5 * fine),
                 1 + 0.16 * rows_at(p, 98, 1.6));
    case Ground::clover:
      return lit({92, 126, 66}, 1 + 0.10 * coarse + 0.08 * fine);
    case Ground::alfalfa:
      return lit({104, 132, 74}, 1 + 0.10 * coarse + 0.05 * rows_at(p, 2, 7));
    case Ground::brassica:
      return lit({72, 112, 70}, 1 + 0.12 * fine + 0.06 * coarse);
    case Ground::grass:
      return lit(mix({188, 160, 108}, {160, 132, 88}, 0.5 + 0.5 * fine), 1 + 0.08 * coarse);
    case Ground::water:
      return lit({52, 66, 72}, 1 + 0.08 * coarse);
    case Ground::gravel:
      return lit({186, 180, 168}, 1 + 0.06 * fine);
    case Ground::track:
      return lit({166, 150, 120}, 1 + 0.10 * fine);
    case Ground::roof:
      return lit({128, 70, 58}, 1 + 0.03 * rows_at(p, 0, 1.2));
    case Ground::yard:
      return lit({128, 132, 88}, 1 + 0.08 * fine);
    default:
      return lit(mix({148, 146, 96}, {128, 132, 84}, 0.5 + 0.5 * coarse), 1 + 0.10 * fine);
  }
}

Rgb tree_colour(const Crown& crown) {
  if (crown.evergreen) return mix({52, 72, 50}, {66, 84, 58}, crown.tint);
  static constexpr Rgb kAutumn[5] = {
      {122, 96, 74}, {134, 100, 66}, {112, 92, 78}, {144, 106, 62}, {124, 84, 64}};
  return kAutumn[static_cast<size_t>(crown.tint * 4.999)];
}

// Sun from the south-east, 32 degrees high.
constexpr double kSunX = 0.60, kSunY = -0.60, kSunZ = 0.53;

double slope_light(const Raster<float>& ground, LocalXY p) {
  const double e =
      static_cast<double>(sample(ground, {p.x + 2, p.y}) - sample(ground, {p.x - 2, p.y})) / 4;
  const double n =
      static_cast<double>(sample(ground, {p.x, p.y + 2}) - sample(ground, {p.x, p.y - 2})) / 4;
  if (std::isnan(e) || std::isnan(n)) return 1;
  const double dot = (-e * kSunX - n * kSunY + kSunZ) / std::sqrt(1 + e * e + n * n);
  return std::clamp(0.45 + 0.55 * dot / kSunZ, 0.5, 1.35);
}

Rgb pixel(const Raster<std::uint8_t>& map, const Raster<float>& ground, LocalXY p) {
  const double x = p.x - kWest, y = p.y - kSouth;
  // Edges of cover wander by a few metres, so that they do not look ruled.
  const LocalXY q = p + LocalXY{4 * value_noise(x / 14, y / 14, kSeed + 50) +
                                    11 * fractal_noise(x / 75, y / 75, 2, kSeed + 54),
                                4 * value_noise(x / 14 + 9, y / 14, kSeed + 51) +
                                    11 * fractal_noise(x / 75 + 5, y / 75, 2, kSeed + 55)};
  Ground g = static_cast<Ground>(map.value_or(q, 0));
  const Ground exact = static_cast<Ground>(map.value_or(p, 0));
  if (exact >= Ground::water || g >= Ground::water) g = exact;
  const double coarse = fractal_noise(x / 70, y / 70, 3, kSeed + 52),
               fine = fractal_noise(x / 2.5, y / 2.5, 2, kSeed + 53);
  const double slope = slope_light(ground, p);
  if (is_woods(g)) {
    const Crown crown = crown_at(p, crown_spacing(g), evergreen_share(g));
    if (crown.distance_m < crown.radius_m) {
      const double edge = crown.distance_m / crown.radius_m;
      const double dome = 1 - edge * edge;
      const double lean = (crown.offset_x * kSunX + crown.offset_y * kSunY) / crown.radius_m;
      const double leaves =
          fractal_noise(x / 1.1, y / 1.1, 2, kSeed + 56);  // twigs and gaps in the crown
      const double light = 0.72 + 0.16 * dome + 0.22 * lean + 0.30 * leaves + 0.14 * coarse;
      return lit(mix(tree_colour(crown), {96, 86, 74}, 0.35 + 0.2 * fine),
                 light * (0.35 + 0.65 * slope));
    }
    return lit({74, 62, 50}, slope * (0.85 + 0.15 * fine));  // leaf litter in shade
  }
  if (g == Ground::brush || g == Ground::felled) {
    const Crown crown = crown_at(p, g == Ground::brush ? 3.4 : 4.2, 0.1);
    const double dome =
        crown.distance_m < crown.radius_m ? 1 - crown.distance_m / crown.radius_m : -0.2;
    const Rgb base = g == Ground::brush ? mix({128, 110, 82}, {104, 96, 68}, crown.tint)
                                        : mix({118, 100, 80}, {150, 134, 108}, crown.tint);
    return lit(base, slope * (0.80 + 0.28 * dome + 0.12 * fine));
  }
  // Shade that trees throw on open ground, from a wood a few metres toward the sun.
  double shade = 1;
  for (const double d : {2.0, 5.0, 8.0, 11.0}) {
    if (is_woods(
            static_cast<Ground>(map.value_or({q.x + d * kSunX * 1.3, q.y + d * kSunY * 1.3}, 0))))
      shade = std::min(shade, 0.58 + 0.025 * d);
  }
  return lit(field_colour(g, p, coarse, fine), slope * shade);
}

}  // namespace

Raster<std::uint8_t> make_ground_map(const std::vector<Feature>& features, double cell_m) {
  const int n = static_cast<int>(kSide_m / cell_m);
  Raster<std::uint8_t> map(GridSpec{kWest, kSouth + kSide_m, cell_m, n, n});
  // Neighbouring land beyond the boundary: fields, and woods that go on along the ridge.
  for_each_index(n, [&](int r) {
    for (int c = 0; c < n; ++c) {
      const LocalXY p = map.spec.centre(c, r);
      const double x = p.x - kWest, y = p.y - kSouth;
      const bool inside = x > 300 && x < 1903 && y > 322 && y < 1882;
      const double d = nearest_on_path(ridge(), p).distance_m +
                       70 * fractal_noise(x / 160, y / 160, 3, kSeed + 60);
      Ground g =
          value_noise(x / 260, y / 330, kSeed + 61) > 0.15 ? Ground::stubble : Ground::pasture;
      if (!inside && d < 240) g = Ground::woods;
      if (!inside && nearest_on_path(creek(), p).distance_m < 30) g = Ground::brush;
      map.at(c, r) = static_cast<std::uint8_t>(inside ? Ground::pasture : g);
    }
  });
  for (const Feature& f : features)
    if (f.kind() == Kind::cover) burn(map, f.shape, of_cover(f.as<CoverAttrs>().type));
  for (const Feature& f : features)
    if (f.kind() == Kind::food && f.as<FoodAttrs>().type != FoodType::mast)
      burn(map, f.shape, of_food(f.as<FoodAttrs>()));
  burn_strip(map, creek(), 5, Ground::water);
  for (const Feature& f : features) {
    if (f.kind() == Kind::water && f.shape.type == ShapeType::area)
      burn(map, f.shape, Ground::water);
    if (f.kind() == Kind::human_path)
      burn_strip(map, f.shape.path(), f.as<HumanPathAttrs>().type == PathType::vehicle ? 3.0 : 1.0,
                 Ground::track);
    if (f.kind() == Kind::road)
      burn_strip(map, f.shape.path(), f.as<RoadAttrs>().type == RoadType::public_road ? 7 : 4,
                 Ground::gravel);
    if (f.kind() == Kind::shooting_lane) burn_strip(map, f.shape.path(), 3, Ground::pasture);
    if (f.kind() != Kind::dwelling) continue;
    const LocalXY p = anchor(f.shape);
    if (auto yard = buffered(Shape::point(p), 32)) burn(map, yard->front(), Ground::yard);
    const Path roof = {
        {p.x - 8, p.y - 6}, {p.x + 8, p.y - 6}, {p.x + 8, p.y + 6}, {p.x - 8, p.y + 6}};
    burn(map, Shape::area(roof), Ground::roof);
  }
  return map;
}

io::Picture paint_aerial(const Raster<std::uint8_t>& map, const Raster<float>& ground) {
  io::Picture out;
  out.width_px = map.spec.cols;
  out.height_px = map.spec.rows;
  out.argb.resize(map.spec.size());
  for_each_index(map.spec.rows, [&](int r) {
    for (int c = 0; c < map.spec.cols; ++c) {
      const Rgb p = pixel(map, ground, map.spec.centre(c, r));
      const auto byte = [](double v) {
        return static_cast<std::uint32_t>(std::clamp(v, 0.0, 255.0));
      };
      out.argb[map.spec.index(c, r)] = 0xFF000000U | byte(p.r) << 16 | byte(p.g) << 8 | byte(p.b);
    }
  });
  return out;
}

Raster<float> make_surface(const Raster<std::uint8_t>& map, const Raster<float>& ground) {
  const int n = static_cast<int>(kSide_m / 2);
  Raster<float> out(GridSpec{kWest, kSouth + kSide_m, 2, n, n});
  for_each_index(n, [&](int r) {
    for (int c = 0; c < n; ++c) {
      const LocalXY p = out.spec.centre(c, r);
      const Ground g = static_cast<Ground>(map.value_or(p, 0));
      double tree = 0;
      if (is_woods(g)) {
        const Crown crown = crown_at(p, crown_spacing(g), evergreen_share(g));
        if (crown.distance_m < crown.radius_m)
          tree = crown.height_m - 5 * std::pow(crown.distance_m / crown.radius_m, 2);
      } else if (g == Ground::brush || g == Ground::felled) {
        tree = 1.6 + 1.4 * hash01(c, r, kSeed + 70);
      } else if (g == Ground::corn) {
        tree = 2.2;
      } else if (g == Ground::grass) {
        tree = 1.5;
      } else if (g == Ground::roof) {
        tree = 6;
      }
      out.at(c, r) = sample(ground, p) + static_cast<float>(tree);
    }
  });
  return out;
}

}  // namespace leeward::demo
