// A property drawn with letters, for tests of what stands where. One letter is a square of
// `cell_m`; the last row is the southern one. Points stand in the middle of their square:
//   s mock scrape   S stand   C camera   G gate   D dwelling
// areas are the box about each run of letters that touch:
//   B bedding   F food   W cover   Q sanctuary   ~ pond   O open ground (a cover of that type)
// lines join the middles of their letters in order, over a point that stands on them:
//   t u v deer trails   r road   p human path   # barrier (':' a gap of one square in it)
// the boundary is the box through the middles of all '+'.
// Names are the kind's noun and a number in reading order: "mock scrape 1".
#pragma once

#include "tests/support/small_property.h"

#include <map>
#include <set>
#include <sstream>

namespace leeward::testing {

class AsciiMap {
 public:
  AsciiMap(const std::string& drawing, double cell_m) : cell_m_(cell_m) {
    std::istringstream in(drawing);
    for (std::string line; std::getline(in, line);)
      if (line.find_first_not_of(' ') != std::string::npos) rows_.push_back(line);
  }

  std::vector<Feature> features() {
    for (const auto& [letter, kind] : std::map<char, Kind>{{'s', Kind::mock_scrape},
                                                           {'S', Kind::stand},
                                                           {'C', Kind::camera},
                                                           {'G', Kind::gate},
                                                           {'D', Kind::dwelling}})
      for (const Cell& c : cells(letter)) add(kind, Shape::point(middle(c)));
    for (const auto& [letter, kind] : std::map<char, Kind>{{'B', Kind::bedding},
                                                           {'F', Kind::food},
                                                           {'W', Kind::cover},
                                                           {'Q', Kind::sanctuary},
                                                           {'~', Kind::water},
                                                           {'O', Kind::cover}})
      areas(letter, kind);
    for (const auto& [letter, kind] : {std::pair{'t', Kind::deer_trail},
                                       {'u', Kind::deer_trail},
                                       {'v', Kind::deer_trail},
                                       {'r', Kind::road},
                                       {'p', Kind::human_path}})
      if (const auto found = cells(letter); found.size() > 1) add(kind, Shape::line(chain(found)));
    barrier();
    boundary();
    return std::move(features_);
  }

 private:
  using Cell = std::pair<int, int>;  // row, column

  char letter(int r, int c) const {
    if (r < 0 || c < 0 || r >= static_cast<int>(rows_.size())) return ' ';
    const std::string& row = rows_[static_cast<size_t>(r)];
    return c < static_cast<int>(row.size()) ? row[static_cast<size_t>(c)] : ' ';
  }
  std::vector<Cell> cells(char wanted) const {
    std::vector<Cell> out;
    for (int r = 0; r < static_cast<int>(rows_.size()); ++r)
      for (int c = 0; c < static_cast<int>(rows_[static_cast<size_t>(r)].size()); ++c)
        if (letter(r, c) == wanted) out.emplace_back(r, c);
    return out;
  }
  LocalXY middle(Cell c) const {
    return at((c.second + 0.5) * cell_m_,
              (static_cast<double>(rows_.size()) - c.first - 0.5) * cell_m_);
  }
  Feature& add(Kind kind, Shape shape) {
    const std::string name = std::string(info(kind).noun) + " " + std::to_string(++count_[kind]);
    features_.push_back(seeded(kind, std::move(shape), name));
    return features_.back();
  }

  static Shape area_of(const Box& b) {
    return Shape::area(
        {{b.min_x, b.min_y}, {b.max_x, b.min_y}, {b.max_x, b.max_y}, {b.min_x, b.max_y}});
  }

  void areas(char wanted, Kind kind) {
    std::vector<Cell> found = cells(wanted);
    std::set<Cell> left(found.begin(), found.end());
    for (const Cell& first : found) {
      if (!left.count(first)) continue;
      std::vector<Cell> todo = {first};
      Box box;
      while (!todo.empty()) {
        const Cell c = todo.back();
        todo.pop_back();
        if (!left.erase(c)) continue;
        const LocalXY p = middle(c);
        box.add(LocalXY{p.x - cell_m_ / 2, p.y - cell_m_ / 2});
        box.add(LocalXY{p.x + cell_m_ / 2, p.y + cell_m_ / 2});
        for (const Cell& step : {Cell{0, 1}, Cell{0, -1}, Cell{1, 0}, Cell{-1, 0}})
          todo.emplace_back(c.first + step.first, c.second + step.second);
      }
      Feature& f = add(kind, area_of(box));
      if (wanted == 'O') f.as<CoverAttrs>() = typical_cover(CoverType::open);
    }
  }

  // From the end that is read first, always to the nearest letter that is left.
  Path chain(std::vector<Cell> left) const {
    const auto apart = [](Cell a, Cell b) {
      return std::hypot(a.first - b.first, a.second - b.second);
    };
    const auto end = std::find_if(left.begin(), left.end(), [&](Cell c) {
      return std::count_if(left.begin(), left.end(),
                           [&](Cell o) { return o != c && apart(c, o) < 1.5; }) <= 1;
    });
    if (end != left.end()) std::iter_swap(left.begin(), end);
    Path out;
    for (size_t i = 0; i < left.size(); ++i) {
      const auto next = left.begin() + static_cast<std::ptrdiff_t>(i);
      if (i > 0)
        std::iter_swap(next, std::min_element(next, left.end(), [&](Cell a, Cell b) {
                         return apart(left[i - 1], a) < apart(left[i - 1], b);
                       }));
      out.push_back(middle(left[i]));
    }
    return out;
  }

  void barrier() {
    std::vector<Cell> all = cells('#');
    if (all.size() < 2) return;
    const std::vector<Cell> gaps = cells(':');
    all.insert(all.end(), gaps.begin(), gaps.end());
    std::sort(all.begin(), all.end());
    Feature& f = add(Kind::barrier, Shape::line(chain(all)));
    for (const Cell& g : gaps)
      f.as<BarrierAttrs>().gaps.push_back(
          {nearest_on_path(f.shape.path(), middle(g)).at_m, cell_m_});
  }

  void boundary() {
    Box box;
    for (const Cell& c : cells('+')) box.add(middle(c));
    if (!box.empty()) add(Kind::boundary, area_of(box));
  }

  double cell_m_;
  std::vector<std::string> rows_;
  std::map<Kind, int> count_;
  std::vector<Feature> features_;
};

/// The drawing as a document in metres, with a bow of 27.432 m, no wind hours, and a wind by hand
/// of 3 m/s.
inline Document document_from_ascii(const std::string& drawing, double cell_m,
                                    double wind_from_deg = 315) {
  Settings s;
  s.name = "Drawn ground";
  s.crs = "EPSG:32615";
  s.units = UnitSystem::metric;
  s.use_hand_wind = true;
  s.hand_wind = {wind_from_deg, 3, 0.3};
  Weapon bow;
  bow.uid = Uid::from_seed("bow");
  bow.name = "Bow";
  std::vector<Edit> edits = {put(s), put(bow)};
  for (Feature& f : AsciiMap(drawing, cell_m).features()) edits.push_back(put(std::move(f)));
  return edited(Document{}, std::move(edits));
}

/// The same document with one feature's attributes changed.
template <class A, class Change>
Document with(const Document& d, const std::string& name, Change change) {
  Feature f = *d.find(Uid::from_seed(name));
  change(f.as<A>());
  return edited(d, {put(std::move(f))});
}

/// The same document with its bow, or its settings, changed.
template <class Change>
Document with_bow(const Document& d, Change change) {
  Weapon bow = *d.find_weapon(Uid::from_seed("bow"));
  change(bow);
  return edited(d, {put(std::move(bow))});
}
template <class Change>
Document with_settings(const Document& d, Change change) {
  Settings s = *d.settings;
  change(s);
  return edited(d, {put(std::move(s))});
}

}  // namespace leeward::testing
