// Ground drawn with letters, for tests of walking. One letter is a cell; the last row is the
// southern one.
//   . open   # no entry   t thicket, four times as slow   = path   A..Z open, a place to name
#pragma once

#include "core/compute/walk_line.h"

#include <map>
#include <sstream>
#include <string>

namespace leeward::testing {

struct WalkMap {
  Raster<compute::WalkCell> cells;
  std::map<char, std::size_t> places;
  std::vector<std::string> rows;

  explicit WalkMap(const std::string& drawing, double cell_m = 5) {
    std::istringstream in(drawing);
    for (std::string line; in >> line;) rows.push_back(line);
    const GridSpec g{0, cell_m * static_cast<double>(rows.size()), cell_m,
                     static_cast<int>(rows.at(0).size()), static_cast<int>(rows.size())};
    cells = Raster<compute::WalkCell>(g);
    for (int r = 0; r < g.rows; ++r) {
      for (int c = 0; c < g.cols; ++c) {
        const char letter = rows[static_cast<size_t>(r)].at(static_cast<size_t>(c));
        auto& cell = cells.at(c, r);
        if (letter == '#') cell.slowness = std::numeric_limits<float>::infinity();
        if (letter == 't') cell.slowness = 4;
        if (letter == '=') cell.on_path = true;
        if (letter >= 'A' && letter <= 'Z') places[letter] = g.index(c, r);
      }
    }
  }

  /// The drawing with the turns of a line marked 'o'; the two ends keep their letters.
  std::string with_turns(const compute::WalkLine& line) const {
    std::vector<std::string> drawn = rows;
    for (size_t i = 1; i + 1 < line.points.size(); ++i) {
      const LocalXY p = line.points[i];
      drawn[static_cast<size_t>(cells.spec.cell_row(p.y))]
           [static_cast<size_t>(cells.spec.cell_col(p.x))] = 'o';
    }
    std::string out;
    for (const std::string& row : drawn) out += row + "\n";
    return out;
  }
};

}  // namespace leeward::testing
