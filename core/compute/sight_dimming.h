// Inside the quick pass of sight: what cover dims, found on a few rays of an octant at every few
// rings and mixed between them. Along each ray the cover that it has met is listed; a line to a
// target on the ray is dimmed by those cells whose top it passes under.
#pragma once

#include "core/compute/sight_octant.h"

#include <vector>

namespace leeward::compute::octant {

class Dimming {
 public:
  explicit Dimming(const Octant& octant);

  int step() const { return step_; }  ///< Rings from one sample to the next.
  bool started() const { return started_; }
  /// The eye stands in cover of this density.
  void start_within(float density_per_m);
  /// Takes in rings [from, past), of `strip`, which starts at ring `first`; then `dim` may be asked
  /// for them.
  void advance(const Rings& strip, int first, int from, int past);
  /// 0..255 for the first `count` cells of a ring: 0 where `seen` is 0.
  void dim(int ring, int count, const float* seen, std::uint8_t* out);

 private:
  void start();

  const Octant& o_;
  int rays_, step_;
  std::ptrdiff_t room_;  // entries a ray
  bool started_ = false;
  int from_ = 0, past_ = 0;             // rings of the last advance
  float within_ = 0;                    // of the eye's own cover
  std::vector<float> slope_, density_;  // lists of the rays
  std::vector<int> listed_;
  std::vector<float> inner_, outer_, mixed_;  // depths by ray, in 1/m, of steps a ring long
  std::vector<float> depth_;                  // the same by cell
};

}  // namespace leeward::compute::octant
