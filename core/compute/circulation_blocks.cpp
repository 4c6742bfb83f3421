#include "core/compute/circulation_blocks.h"

#include "core/base/multiversion.h"
#include "core/compute/circulation.h"

#include <algorithm>
#include <cmath>

namespace leeward::compute {
namespace {

constexpr std::size_t kLanes = 8;  // a column of the factor is a multiple of it
// A pivot that has lost all but this share of its diagonal is rounding.
constexpr double kLeastPivot = 1e-12;

/// x -= factor * column.
LEEWARD_CLONES void subtract(std::size_t n, double factor, const double* __restrict column,
                             double* __restrict x) {
  for (std::size_t i = 0; i < n; ++i) x[i] -= factor * column[i];
}

/// Both triangles of the factor, in place.
LEEWARD_CLONES void solve_band(std::size_t unknowns, std::size_t band,
                               const double* __restrict below, const double* __restrict inverse,
                               double* __restrict x) {
  for (std::size_t k = 0; k < unknowns; ++k) {
    x[k] *= inverse[k];
    const double* column = below + k * band;
    const double found = x[k];
    for (std::size_t i = 0; i < band; ++i) x[k + 1 + i] -= found * column[i];
  }
  // What was carried past the last unknown is none of the solution's.
  for (std::size_t i = 0; i < band; ++i) x[unknowns + i] = 0;
  for (std::size_t k = unknowns; k-- > 0;) {
    const double* column = below + k * band;
    double sum[kLanes] = {};
    for (std::size_t i = 0; i < band; i += kLanes)
      for (std::size_t n = 0; n < kLanes; ++n) sum[n] += column[i + n] * x[k + 1 + i + n];
    x[k] = (x[k] -
            (((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7])))) *
           inverse[k];
  }
}

/// out += row.
LEEWARD_CLONES void add(std::size_t n, const double* __restrict row, double* __restrict out) {
  for (std::size_t i = 0; i < n; ++i) out[i] += row[i];
}

}  // namespace

CirculationBlocks::CirculationBlocks(const GridSpec& spec, const std::vector<std::uint8_t>& sought,
                                     const std::vector<std::array<double, 4>>& conductance)
    : spec_(spec),
      cols_((spec.cols + kSide - 1) / kSide),
      rows_((spec.rows + kSide - 1) / kSide),
      line_(static_cast<std::size_t>(cols_) * kSide) {
  number(sought);
  const std::size_t unknowns = inverse_.size();
  below_.assign(unknowns * band_, 0.0);
  x_.assign(unknowns + band_, 0.0);
  for (std::size_t a = 0; a < sought.size(); ++a)
    for (std::size_t n = 0; n < 4; ++n) {
      const double g = conductance[a][n];
      if (!(g > 0)) continue;
      const std::size_t b = a + static_cast<std::size_t>(kNext[n][1] * spec_.cols + kNext[n][0]);
      const std::size_t from = sought[a] ? unknown_[block_of(a)] : kNone,
                        to = sought[b] ? unknown_[block_of(b)] : kNone;
      if (from == to) continue;
      if (from != kNone) inverse_[from] += g;
      if (to != kNone) inverse_[to] += g;
      if (from == kNone || to == kNone) continue;
      const auto [low, high] = std::minmax(from, to);
      below_[low * band_ + high - low - 1] -= g;
    }
  factor();
}

std::size_t CirculationBlocks::block_of(std::size_t cell) const {
  const std::size_t cols = static_cast<std::size_t>(spec_.cols);
  return cell / cols / kSide * static_cast<std::size_t>(cols_) + cell % cols / kSide;
}

// Along the shorter side, so that neighbours have numbers that are near.
void CirculationBlocks::number(const std::vector<std::uint8_t>& sought) {
  unknown_.assign(static_cast<std::size_t>(cols_) * static_cast<std::size_t>(rows_), kNone);
  for (std::size_t i = 0; i < sought.size(); ++i)
    if (sought[i]) unknown_[block_of(i)] = 0;
  const bool by_row = cols_ <= rows_;
  const int shorter = std::min(cols_, rows_), longer = std::max(cols_, rows_);
  std::size_t count = 0;
  for (int i = 0; i < longer; ++i)
    for (int j = 0; j < shorter; ++j) {
      std::size_t& at = unknown_[static_cast<std::size_t>(by_row ? i * cols_ + j : j * cols_ + i)];
      if (at != kNone) at = count++;
    }
  band_ = (static_cast<std::size_t>(shorter) + 1 + kLanes - 1) / kLanes * kLanes;
  inverse_.assign(count, 0.0);
}

// `inverse_` holds the diagonal on entry.
void CirculationBlocks::factor() {
  const std::size_t unknowns = inverse_.size();
  const std::vector<double> diagonal = inverse_;
  for (std::size_t k = 0; k < unknowns; ++k) {
    double* column = &below_[k * band_];
    if (inverse_[k] <= kLeastPivot * diagonal[k]) {
      inverse_[k] = 0;
      std::fill(column, column + band_, 0.0);
      continue;
    }
    inverse_[k] = 1 / std::sqrt(inverse_[k]);
    for (std::size_t i = 0; i < band_; ++i) column[i] *= inverse_[k];
    for (std::size_t i = 0; i < band_ && k + 1 + i < unknowns; ++i) {
      if (column[i] == 0) continue;
      inverse_[k + 1 + i] -= column[i] * column[i];
      subtract(band_ - i - 1, column[i], column + i + 1, &below_[(k + 1 + i) * band_]);
    }
  }
}

double CirculationBlocks::solve(const double* residual) {
  std::fill(x_.begin(), x_.end(), 0.0);
  const std::size_t cols = static_cast<std::size_t>(spec_.cols);
  const auto each_block = [&](int row, auto visit) {
    for (std::size_t c = 0; c < static_cast<std::size_t>(cols_); ++c)
      if (const std::size_t u = unknown_[static_cast<std::size_t>(row * cols_) + c]; u != kNone)
        visit(u, c * kSide);
  };
  for (int row = 0; row < rows_; ++row) {
    std::fill(line_.begin(), line_.end(), 0.0);
    for (int r = row * kSide; r < std::min(spec_.rows, (row + 1) * kSide); ++r)
      add(cols, residual + static_cast<std::size_t>(r) * cols, line_.data());
    each_block(row, [&](std::size_t u, std::size_t at) {
      for (std::size_t i = 0; i < kSide; ++i) x_[u] += line_[at + i];
    });
  }
  const std::vector<double> sums = x_;
  solve_band(inverse_.size(), band_, below_.data(), inverse_.data(), x_.data());
  row_of_line_ = -1;
  double product = 0;
  for (std::size_t u = 0; u < inverse_.size(); ++u) product += sums[u] * x_[u];
  return product;
}

const double* CirculationBlocks::row(int r) {
  if (const int row = r / kSide; row != row_of_line_) {
    row_of_line_ = row;
    for (std::size_t c = 0; c < static_cast<std::size_t>(cols_); ++c) {
      const std::size_t u = unknown_[static_cast<std::size_t>(row * cols_) + c];
      std::fill_n(&line_[c * kSide], kSide, u == kNone ? 0.0 : x_[u]);
    }
  }
  return line_.data();
}

}  // namespace leeward::compute
