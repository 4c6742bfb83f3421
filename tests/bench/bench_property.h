// The benchmark property: seeded ridges at 1 m (seed 7), chequered timber, 20 stands, 15 bedding
// and 15 food areas, 40 trails, a felled wall with a gap, 2 gates; analysis grid 5 m.
#pragma once

#include "core/eval/engine.h"
#include "core/model/edit.h"
#include "tests/support/terrain_makers.h"

#include <map>
#include <string>
#include <vector>

namespace leeward::bench {

inline constexpr double kWest = 500000, kSouth = 4300000;
inline const Instant kWhen = *parse_iso8601("2026-11-14T20:30:00Z");

/// `side_m` a side; drawn on 2000 m and scaled.
class Property {
 public:
  explicit Property(double side_m) : side_m_(side_m) {}

  Ref<Terrain> terrain() const {
    static std::map<int, Ref<Terrain>> all;
    Ref<Terrain>& t = all[static_cast<int>(side_m_)];
    if (!t) {
      Terrain made;
      const int cells = static_cast<int>(side_m_);
      made.ground = testing::seeded_ground(GridSpec{kWest, kSouth + side_m_, 1, cells, cells}, 7);
      t = make_ref<Terrain>(std::move(made));
    }
    return t;
  }

  LocalXY at(double x, double y) const {
    return {kWest + x * side_m_ / 2000, kSouth + y * side_m_ / 2000};
  }
  Shape box(double x, double y, double w, double h) const {
    return Shape::area({at(x, y), at(x + w, y), at(x + w, y + h), at(x, y + h)});
  }

  Document document() const {
    std::vector<Edit> edits;
    Settings s;
    s.crs = "EPSG:32615";
    s.use_hand_wind = true;
    edits.push_back(put(s));
    const auto add = [&](Kind k, Shape shape) {
      Feature f = make_feature(k, std::move(shape));
      f.uid = Uid::from_seed("bench" + std::to_string(edits.size()));
      if (k == Kind::barrier) f.as<BarrierAttrs>().gaps = {{200 * side_m_ / 2000, 8}};
      edits.push_back(put(std::move(f)));
    };
    add(Kind::boundary, box(0, 0, 2000, 2000));
    for (int i = 0; i < 12; ++i)
      add(Kind::cover, box(100 + 480 * (i % 4), 100 + 620 * (i / 4), 330, 400));
    for (int i = 0; i < 15; ++i)
      add(Kind::bedding, box(150 + 370 * (i % 5), 250 + 420 * (i / 5) + 60 * (i % 3), 140, 110));
    for (int i = 0; i < 15; ++i)
      add(Kind::food, box(120 + 350 * (i % 5), 60 + 640 * (i / 5) + 30 * (i % 3), 150, 120));
    for (int i = 0; i < 40; ++i) {
      const double x = 60 + 45 * i, y = 350 + 300 * (i % 4);
      add(Kind::deer_trail, Shape::line({at(x, y), at(x + 120, y + 250), at(x + 20, y + 480)}));
    }
    add(Kind::barrier, Shape::line({at(600, 1000), at(1100, 1030)}));
    add(Kind::gate, Shape::point(at(5, 5)));
    add(Kind::gate, Shape::point(at(1995, 1200)));
    for (int i = 0; i < 20; ++i)
      add(Kind::stand, Shape::point(at(200 + 380 * (i % 5) + 13 * (i / 5), 250 + 430 * (i / 5))));
    edits.push_back(put(
        Weapon{Uid::from_seed("bow"), "Bow", WeaponType::bow, 0, 27.432, {9.144, 18.288, 27.432}}));
    return *apply(Document{}, {"bench", edits, {}});
  }

  Snapshot snapshot(const Document& d, Instant when = kWhen) const {
    return {make_ref<Document>(d), terrain(), scene_at(d, when)};
  }

 private:
  double side_m_;
};

}  // namespace leeward::bench
