#include "sample_maps/generator/land.h"

#include "core/base/parallel.h"
#include "sample_maps/generator/noise.h"

namespace leeward::demo {
namespace {

double bell(double distance_m, double width_m) {
  return std::exp(-(distance_m / width_m) * (distance_m / width_m));
}

const Path& draw_line(int i) {
  static const Path kDraws[3] = {line({{1000, 1030}, {1085, 860}, {1040, 650}}),
                                 line({{1450, 1360}, {1560, 1100}, {1520, 660}}),
                                 line({{640, 850}, {720, 640}, {650, 330}})};
  return kDraws[i];
}

double ground_at(LocalXY p) {
  const double x = p.x - kWest, y = p.y - kSouth;
  const double wobble = 60 * fractal_noise(x / 420, y / 420, 3, kSeed + 1);
  const double from_ridge = nearest_on_path(ridge(), p).distance_m + wobble;
  const double from_creek = nearest_on_path(creek(), p).distance_m;
  double z = 196 + 0.006 * (y - 1100);
  z += 40 * bell(from_ridge, 330);
  z += 7 * fractal_noise(x / 300, y / 300, 5, kSeed + 2);
  // Spurs: ridged noise, strongest on the flanks.
  const double spur = 1 - std::abs(2 * value_noise(x / 210 + 3, y / 210, kSeed + 3));
  z += 7 * spur * bell(from_ridge - 220, 170);
  for (int i = 0; i < 3; ++i) z -= 9 * bell(nearest_on_path(draw_line(i), p).distance_m, 42);
  z -= 10 * bell(from_creek, 150) + 2.2 * bell(from_creek, 7);
  return z + 0.25 * fractal_noise(x / 9, y / 9, 2, kSeed + 4);
}

}  // namespace

const Path& ridge() {
  static const Path kLine =
      line({{100, 420}, {700, 900}, {1150, 1150}, {1600, 1500}, {2150, 1760}});
  return kLine;
}

const Path& creek() {
  static const Path kLine = line({{2200, 520},
                                  {1960, 560},
                                  {1760, 640},
                                  {1540, 650},
                                  {1320, 600},
                                  {1120, 640},
                                  {960, 560},
                                  {820, 440},
                                  {680, 320},
                                  {480, 230},
                                  {300, 90},
                                  {180, 0}});
  return kLine;
}

Raster<float> make_ground() {
  const int n = static_cast<int>(kSide_m);
  Raster<float> out(GridSpec{kWest, kSouth + kSide_m, 1, n, n});
  for_each_index(n, [&](int r) {
    for (int c = 0; c < n; ++c) out.at(c, r) = static_cast<float>(ground_at(out.spec.centre(c, r)));
  });
  return out;
}

Crown crown_at(LocalXY p, double spacing_m, double evergreen_share) {
  const double x = (p.x - kWest) / spacing_m, y = (p.y - kSouth) / spacing_m;
  const int cx = static_cast<int>(std::floor(x)), cy = static_cast<int>(std::floor(y));
  Crown best;
  double best_lift = -1e9;
  for (int j = cy - 1; j <= cy + 1; ++j) {
    for (int i = cx - 1; i <= cx + 1; ++i) {
      const double mx = i + 0.15 + 0.7 * hash01(i, j, kSeed + 10),
                   my = j + 0.15 + 0.7 * hash01(i, j, kSeed + 11);
      const double radius = (0.50 + 0.32 * hash01(i, j, kSeed + 12)) * spacing_m;
      const double dx = (x - mx) * spacing_m, dy = (y - my) * spacing_m, d = std::hypot(dx, dy);
      const double height = 13 + 9 * hash01(i, j, kSeed + 13);
      const double lift =
          height - 5 * (d / radius) * (d / radius);  // the crown that stands above wins
      if (d > radius || lift <= best_lift) continue;
      best_lift = lift;
      best = {d,
              radius,
              height,
              dx,
              dy,
              hash01(i, j, kSeed + 14),
              hash01(i, j, kSeed + 15) < evergreen_share};
    }
  }
  return best;
}

}  // namespace leeward::demo
