// Weighted points spread by a kernel: the plume run backward from receptors, and sound.
#pragma once

#include "core/geo/raster.h"

#include <cstdint>
#include <functional>
#include <stop_token>
#include <vector>

namespace leeward::compute {

struct WeightedCell {
  int col = 0, row = 0;
  float weight = 0;
};

/// A square stencil of `2 * radius + 1` cells; at(dc, dr) is the effect at offset (dc east, dr
/// south) of a unit weight. Rows whose values are all below 1e-5 of the largest are skipped.
class Stencil {
 public:
  Stencil() = default;
  Stencil(int radius, const std::function<float(int dc, int dr)>& value);
  int radius() const { return radius_; }
  float at(int dc, int dr) const {
    if (dc < -radius_ || dc > radius_ || dr < -radius_ || dr > radius_) return 0;
    return values_[static_cast<std::size_t>((dr + radius_) * (2 * radius_ + 1) + dc + radius_)];
  }
  const float* at_row(int dr) const {
    return values_.data() + static_cast<std::size_t>((dr + radius_) * (2 * radius_ + 1));
  }
  /// First and last column offset of a row that matter; first > last: none.
  struct Span {
    int first, last;
  };
  Span span(int dr) const { return spans_[static_cast<std::size_t>(dr + radius_)]; }

 private:
  int radius_ = 0;
  std::vector<float> values_;
  std::vector<Span> spans_;
};

/// out[i] += weight * in[i].
void add_scaled(float* out, const float* in, float weight, int count);

/// out[cell] = sum over points of weight * stencil(cell - point). Direct and exact; one thread.
void spread(const std::vector<WeightedCell>& points, const Stencil& stencil, Raster<float>& out);

}  // namespace leeward::compute
