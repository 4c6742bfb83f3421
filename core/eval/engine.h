// Engine: Snapshot -> Results, recomputing only what changed since its last call.
#pragma once

#include "core/base/result.h"
#include "core/eval/results.h"

#include <functional>
#include <memory>
#include <stop_token>

namespace leeward {

/// Everything an evaluation reads. Large parts are shared by Ref; equal Refs mean unchanged.
struct Snapshot {
  Ref<Document> document;
  Ref<Terrain> terrain;  ///< Never null; may hold no ground.
  Scene scene;
  /// False: a quick answer. What takes long and is not known yet is left out, and
  /// Results::interim says so: the land's effect on the wind (a tenth of a second; what was last
  /// solved for this ground serves, else a wind that the land does not bend;
  /// Results::wind_pending), the gaps that deer pass (as last known;
  /// Results::gaps_pending) and the ways of the other trades.
  bool in_full = true;
  /// False: no ways are looked for; of somebody who sits already.
  bool ways = true;
};

/// The scene that begins at `arrive`, with the property's sit length.
Scene scene_at(const Document& document, Instant arrive, Trade trade = Trade::balanced);

/// Progress in [0, 1] with a short name of the stage; called from the evaluating thread.
using Progress = std::function<void(double, const char*)>;

struct EngineCache;

/// THREADS: one engine belongs to one thread at a time. evaluate() may use the pool of
/// base/parallel inside. Results do not depend on the number of cores nor on what was cached:
/// a warm engine gives the same answer as a new one (to 1e-5).
class Engine {
 public:
  Engine();
  ~Engine();
  Engine(Engine&&) noexcept;
  Engine& operator=(Engine&&) noexcept;

  /// ERRORS: cancelled.
  Result<Ref<Results>> evaluate(const Snapshot& in, std::stop_token stop = {},
                                const Progress& progress = {});

  /// How often each cached stage has run since the engine was made (for tests and the benchmark).
  struct Counts {
    int sight = 0, scent = 0, area_sight = 0, hazard = 0, access = 0, lines = 0, cover = 0,
        wind = 0;
  };
  Counts counts() const;

 private:
  std::unique_ptr<EngineCache> cache_;
};

}  // namespace leeward
