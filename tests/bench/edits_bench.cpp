// From an edit to the answer, over random edits of each kind on the benchmark property
// (bench_property.h): median and 95th of a hundred, for the quick answer that comes first and for
// the full one. `bench_edits [SIDE_m ...] [--edits N] [--stages] [--quick] [--kind NAME]`, by
// default 2000 m and 200 edits; --stages: where the time goes; --quick: as in a drag, without the
// full answers. Budgets on two cores, at 2000 m and p95: a dragged stand 8 ms, turned wind and
// hours 33 ms for the chosen trade, a moved corner 50 ms, cold 1.5 s.
#include "tests/bench/bench_property.h"

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <map>
#include <random>
#include <string>

namespace leeward::bench {
namespace {

using Random = std::mt19937;
struct State {
  Document document;
  Instant when = kWhen;
};
using Change = std::function<State(const State&, Random&)>;

double shift(Random& random) { return static_cast<double>(random() % 41) - 20; }

Change move_point(Kind kind) {
  return [kind](const State& s, Random& random) {
    const auto& rows = s.document.of(kind);
    Feature f = *rows[random() % rows.size()];
    f.shape = Shape::point(f.shape.position() + LocalXY{shift(random) / 4, shift(random) / 4});
    return State{*apply(s.document, {"move", {put(std::move(f))}, {}}), s.when};
  };
}
Change move_corner(Kind kind) {
  return [kind](const State& s, Random& random) {
    const auto& rows = s.document.of(kind);
    Feature f = *rows[random() % rows.size()];
    Path& path = f.shape.parts.front();
    LocalXY& corner = path[random() % path.size()];
    corner = corner + LocalXY{shift(random), shift(random)};
    auto next = apply(s.document, {"corner", {put(std::move(f))}, {}});
    return next ? State{*next, s.when} : s;
  };
}
State turn_wind(const State& s, Random& random) {
  Settings settings = *s.document.settings;
  settings.hand_wind.from_deg = static_cast<double>(random() % 360);
  return {*apply(s.document, {"wind", {put(settings)}, {}}), s.when};
}
State move_hour(const State& s, Random& random) {
  return {s.document, kWhen + std::chrono::minutes(15 * (static_cast<int>(random() % 32) - 16))};
}

double ms_of(const std::function<void()>& work) {
  const auto from = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - from).count();
}

double of_hundred(std::vector<double>& values, std::size_t nth) {
  std::sort(values.begin(), values.end());
  return values[std::min(values.size() - 1, values.size() * nth / 100)];
}

// Milliseconds that each stage of an evaluation took, summed by the names that Progress gives.
class Stages {
 public:
  void reached(const char* name) {
    const auto now = std::chrono::steady_clock::now();
    if (!at_.empty()) sum_[at_] += std::chrono::duration<double, std::milli>(now - since_).count();
    at_ = name;
    since_ = now;
  }
  void print(int edits) {
    std::printf("    mean ms:");
    for (const auto& [name, ms] : sum_)
      if (name != "done") std::printf(" %s %.0f,", name.c_str(), ms / edits);
    std::printf("\n");
  }

 private:
  std::string at_;
  std::chrono::steady_clock::time_point since_;
  std::map<std::string, double> sum_;
};

struct Options {
  int edits = 200;
  bool with_stages = false, quick_alone = false;
  std::string only;  // kind; empty: all
};

void measure(double side_m, const Options& options) {
  const int edits = options.edits;
  const Property property(side_m);
  State state{property.document()};
  Engine engine;
  const auto ask = [&](bool in_full, Stages* stages = nullptr) {
    Snapshot question = property.snapshot(state.document, state.when);
    question.in_full = in_full;
    const Progress progress = [&](double, const std::string& name) {
      stages->reached(name.c_str());
    };
    if (auto answer = engine.evaluate(question, {}, stages ? progress : Progress{}); !answer)
      std::fprintf(stderr, "%s\n", answer.error().message.c_str());
  };
  static_cast<void>(property.terrain());
  std::printf("%.0f m a side\n  cold %36.0f ms\n", side_m, ms_of([&] { ask(true); }));
  const std::pair<const char*, Change> kinds[] = {
      {"drag a stand", move_point(Kind::stand)},
      {"turn the wind", turn_wind},
      {"move along the hours", move_hour},
      {"corner of cover", move_corner(Kind::cover)},
      {"corner of a barrier", move_corner(Kind::barrier)},
      {"corner of bedding", move_corner(Kind::bedding)},
      {"corner of food", move_corner(Kind::food)}};
  std::printf("  %-22s %s\n", "", "quick p50 / p95        full p50 / p95 (ms)");
  for (const auto& [name, change] : kinds) {
    if (!options.only.empty() && options.only != name) continue;
    Random random(3);
    std::vector<double> quick, full;
    Stages quick_stages, full_stages;
    for (int i = 0; i < edits; ++i) {
      state = change(state, random);
      quick.push_back(ms_of([&] { ask(false, &quick_stages); }));
      if (!options.quick_alone)
        full.push_back(quick.back() + ms_of([&] { ask(true, &full_stages); }));
    }
    std::printf("  %-22s %7.1f / %7.1f", name, of_hundred(quick, 50), of_hundred(quick, 95));
    if (!full.empty())
      std::printf("      %7.1f / %7.1f", of_hundred(full, 50), of_hundred(full, 95));
    std::printf("\n");
    if (options.with_stages) quick_stages.print(edits);
    if (options.with_stages && !options.quick_alone) full_stages.print(edits);
    std::fflush(stdout);
  }
}

}  // namespace
}  // namespace leeward::bench

int main(int argc, char** argv) {
  leeward::bench::Options options;
  std::vector<double> sides;
  for (int i = 1; i < argc; ++i) {
    if (std::strcmp(argv[i], "--edits") == 0 && i + 1 < argc) {
      options.edits = std::max(1, std::atoi(argv[++i]));
    } else if (std::strcmp(argv[i], "--stages") == 0) {
      options.with_stages = true;
    } else if (std::strcmp(argv[i], "--quick") == 0) {
      options.quick_alone = true;
    } else if (std::strcmp(argv[i], "--kind") == 0 && i + 1 < argc) {
      options.only = argv[++i];
    } else {
      sides.push_back(std::clamp(std::atof(argv[i]), 300.0, 4000.0));
    }
  }
  if (sides.empty()) sides = {2000};
  for (const double side_m : sides) leeward::bench::measure(side_m, options);
  return 0;
}
