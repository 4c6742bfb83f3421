#include "core/eval/cell_bands.h"

#include <algorithm>
#include <cmath>

namespace leeward {
namespace {

constexpr int kRows = 16;  // of a band

int floor_clamped(double value, int most) {
  return static_cast<int>(std::clamp(std::floor(value), 0.0, static_cast<double>(most)));
}

}  // namespace

CellBands::CellBands(const GridSpec& spec) : spec_(spec) {}

// Beside the grid too: what lies between one side and the other is on it.
void CellBands::add_band(int band, int first_col, int end_col) {
  if (bands_.empty())
    bands_.assign(static_cast<size_t>((spec_.rows + kRows - 1) / kRows), {spec_.cols, 0});
  auto& [first, end] = bands_[static_cast<size_t>(band)];
  first = std::min(first, first_col);
  end = std::max(end, end_col);
}

void CellBands::add(const CellBox& box) {
  const CellBox part = box.within({0, 0, spec_.cols, spec_.rows});
  if (part.empty()) return;
  for (int band = part.row / kRows; band <= (part.end_row() - 1) / kRows; ++band)
    add_band(band, part.col, part.end_col());
}

void CellBands::add(const CellBox& box, const GridSpec& of) {
  const double west = of.west + box.col * of.cell_m, north = of.north - box.row * of.cell_m;
  const double east = west + box.cols * of.cell_m, south = north - box.rows * of.cell_m;
  add(CellBox::between(floor_clamped(spec_.col_of(west), spec_.cols),
                       floor_clamped(spec_.row_of(north), spec_.rows),
                       floor_clamped(spec_.col_of(east) + 1, spec_.cols),
                       floor_clamped(spec_.row_of(south) + 1, spec_.rows)));
}

void CellBands::add(LocalXY a, LocalXY b, double grow_m) {
  if (spec_.empty()) return;
  if (a.y < b.y) std::swap(a, b);
  const double grow = grow_m / spec_.cell_m + 1;  // cells
  const double row_a = spec_.row_of(a.y), row_b = spec_.row_of(b.y);
  const double col_a = spec_.col_of(a.x), col_b = spec_.col_of(b.x);
  if (row_b + grow < 0 || row_a - grow > spec_.rows) return;
  const int first = floor_clamped(row_a - grow, spec_.rows - 1) / kRows,
            last = floor_clamped(row_b + grow, spec_.rows - 1) / kRows;
  for (int band = first; band <= last; ++band) {
    // The part of the piece from which the band is within reach.
    const double upper = band * kRows - grow, lower = (band + 1) * kRows + grow;
    const auto col_at = [&](double row) {
      const double t = row_b > row_a ? std::clamp((row - row_a) / (row_b - row_a), 0.0, 1.0) : 0;
      return col_a + (col_b - col_a) * t;
    };
    const double from = row_b > row_a ? col_at(upper) : col_a,
                 to = row_b > row_a ? col_at(lower) : col_b;
    add_band(band, floor_clamped(std::min(from, to) - grow, spec_.cols),
             floor_clamped(std::max(from, to) + grow + 1, spec_.cols));
  }
}

std::vector<CellBox> CellBands::boxes() const {
  std::vector<CellBox> out;
  for (size_t i = 0; i < bands_.size(); ++i) {
    const int row = static_cast<int>(i) * kRows;
    const CellBox box =
        CellBox::between(bands_[i].first, row, bands_[i].second, std::min(row + kRows, spec_.rows));
    if (!box.empty()) out.push_back(box);
  }
  return out;
}

std::vector<CellBox> all_bands(const GridSpec& spec) {
  CellBands all(spec);
  all.add_all();
  return all.boxes();
}

}  // namespace leeward
