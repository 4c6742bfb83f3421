// Inside the quick pass of sight: what cover dims, found on a few rays of an octant at every few
// rings and mixed between them. Along each ray the cover on every ring is kept; a line to a target
// on the ray is dimmed by those cells whose top it passes under. Rays go sixteen at a time.
#pragma once

#include "core/compute/sight_octant.h"

#include <memory>
#include <vector>

namespace leeward::compute::octant {

class Dimming {
 public:
  explicit Dimming(const Octant& octant);

  int step() const { return step_; }  ///< Rings from one sample to the next.
  bool started() const { return started_; }
  /// The eye stands in cover of this density.
  void start_within(float density_per_m);
  /// Takes in rings [first, end) of `strip`, which starts at ring `first`: whole steps, but for the
  /// last, and the next after those of the last call. Then `dim` may be asked for them.
  /// `horizon`: slopes (metres a ring) of what hides, by cell of the last of these rings and one
  /// more.
  void advance(const Rings& strip, int first, int end, const float* horizon);
  /// Turns the first `count` cells of a ring from 255 where they are seen, else 0, to their share
  /// of 0..255. Up to the next 16 cells are written.
  void dim(int ring, int count, std::uint8_t* out);

 private:
  static constexpr int kMostSamples = 16;

  void start(int first);
  float* sample(int n) { return samples_.data() + static_cast<std::size_t>(n * lanes_); }

  const Octant& o_;
  int rays_, step_, blocks_, lanes_;
  bool started_ = false;
  int first_ = 0, end_ = 0, taken_ = 0;  // rings of the last advance, its samples
  float within_ = 0;                     // of the eye's own cover
  /// Of the cover met, by block of rays, ring and ray.
  std::unique_ptr<float[]> slope_, density_;
  std::vector<float> horizon_;  // by ray
  std::vector<int> begin_;      // by block: the first ring that may still dim
  /// Depths by ray, in 1/m, of steps a ring long: where the last call ended, then its samples.
  std::vector<float> samples_;
  std::vector<float> target_, mixed_, depth_;
  std::vector<int> value_;
};

}  // namespace leeward::compute::octant
