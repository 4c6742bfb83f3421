// Inside the quick pass of sight: what cover dims, found on a few rays of an octant at every few
// rings and mixed between them. Rays are fewer beside the eye, where they lie close together: they
// double at rings 33 and 65, and both rays of a pair go on with the cover that one met. Rays go
// sixteen at a time, as far as the reach and the land go; along each block of them the cover that
// may still dim is kept, ring by ring near the eye and by pairs of rings beyond (where all is
// hidden, by one ring of each pair). A line to a target on the ray is dimmed by the cover whose top
// it passes under.
#pragma once

#include "core/compute/sight_octant.h"
#include "core/compute/sight_rays.h"

#include <cstdint>
#include <memory>
#include <vector>

namespace leeward::compute::octant {

/// Some rings of ground, swept. By cell of a ring, `stride` cells from ring to ring.
struct Swept {
  const float* ground_m;
  std::ptrdiff_t stride;
  const std::int32_t* dims;  ///< As cut_ground() found them.
  const float* horizon;      ///< Metres a ring, of the last of these rings and one cell more.
  std::uint8_t* seen;        ///< 255 or 0. Up to 31 more may be written.
};

class Dimming {
 public:
  explicit Dimming(const Octant& octant);

  /// Turns what is seen of rings [first, end) to its share of 0..255. The next call's rings follow;
  /// kMostRings, but for the last.
  void dim(const Swept& swept, int first, int end);

 private:
  // A block of rays. Its cover is in the order of the rings.
  struct Block {
    Cover* cover;
    int count = 0;
    bool dims = false;     // some share of the last samples is below 255
    bool missing = false;  // the last samples were not taken, for all there was hidden
    bool mixed = false;    // something is dimmed now
  };
  // Rings of one call.
  struct Strip {
    const Swept& swept;
    int first, end;
    int group;       // rings of a piece of cover
    int widest = 0;  // the last cell
    int samples = 0;
    int last[kMostRings] = {}, cleared[kMostRings] = {};  // by ring
    float inverse[kMostRings] = {};
  };

  void start();
  // Rays to look along from a ring on, but for the one on the axis.
  int rays_from(int first) const;
  int blocks() const { return (rays_ + kBlock) / kBlock; }
  void measure();  // length_m_
  // Twice as many rays, and one: what two side by side have met is what one met before.
  void double_rays();
  // Takes in the cover under a block, and its samples; whether something is dimmed there.
  bool look(const Strip& strip, int n);
  // `old`: how much of its cover lies on rings before these; `before`: as of meet_block().
  bool take_samples(const Strip& strip, const Under& under, const Block& b, int old,
                    const int* before, float* out);
  // Mixes samples to cells, where something is dimmed.
  void mix(const Strip& strip);
  void mix(const Strip& strip, int first_ray, int past_ray);
  float* sample(int n) { return samples_.data() + static_cast<std::size_t>(n * lanes_); }

  const Octant& o_;
  int rays_, step_;
  int lanes_;  // of all rays that are ever looked along
  bool started_ = false;
  float within_ = 0;  // depth of the eye's own cover, in 1/m of a step a ring long
  std::unique_ptr<Cover[]> cover_;
  std::vector<Block> block_;
  std::vector<float> horizon_, length_m_;  // by ray; of a step a ring long
  /// Shares of 0..255 by ray, with room to read past the last: where the last call ended, then this
  /// one's samples.
  std::vector<float> samples_;
  std::vector<float> mixed_;
  std::vector<std::uint8_t> seen_;
};

}  // namespace leeward::compute::octant
