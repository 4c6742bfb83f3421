// Grids drawn in the test that uses them.
#pragma once

#include "core/geo/raster.h"

#include <sstream>
#include <string>

namespace leeward::testing {

/// Numbers in rows, north row first; cells of `cell_m` with the south-west corner at the origin.
inline Raster<float> grid_from_ascii(const std::string& text, double cell_m = 1) {
  std::istringstream lines(text);
  std::vector<std::vector<float>> rows;
  for (std::string line; std::getline(lines, line);) {
    std::istringstream in(line);
    std::vector<float> row;
    for (float v = 0; in >> v;) row.push_back(v);
    if (!row.empty()) rows.push_back(std::move(row));
  }
  Raster<float> out(GridSpec{0, static_cast<double>(rows.size()) * cell_m, cell_m,
                             static_cast<int>(rows.at(0).size()), static_cast<int>(rows.size())});
  for (size_t r = 0; r < rows.size(); ++r)
    for (size_t c = 0; c < rows[r].size(); ++c)
      out.at(static_cast<int>(c), static_cast<int>(r)) = rows[r][c];
  return out;
}

}  // namespace leeward::testing
