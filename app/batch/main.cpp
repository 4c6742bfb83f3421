// leeward-batch: the same core as the window, from a command line.
#include "app/batch/verbs.h"

#include <cstdio>
#include <new>

int main(int argc, char** argv) {
  using namespace leeward::batch;
  CLI::App app("Makes, checks, evaluates and prints deer-hunting properties without a window.");
  app.require_subcommand(1);
  app.footer(
      "Exit codes: 0 done, 1 failed, 2 wrong call, 3 check found errors.\n"
      "Figures compare stands and ways; they are not validated for deer. Directions of fire are "
      "taken away,\nnever cleared.");
  Run run;
  add_create(app, run);
  add_check(app, run);
  add_evaluate(app, run);
  add_export(app, run);
  add_forecasts(app, run);
  add_plan(app, run);
  add_print(app, run);
  add_season(app, run);
  add_ways(app, run);
  add_dump(app, run);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& e) {
    return app.exit(e) == 0 ? 0 : kWrongCall;
  }
  try {
    const leeward::Result<int> done = run();
    if (done) return *done;
    std::fprintf(stderr, "leeward-batch: %s\n", done.error().message.c_str());
    return done.error().code == leeward::ErrorCode::invalid_argument ? kWrongCall : kFailed;
  } catch (const std::bad_alloc&) {
    std::fprintf(stderr, "leeward-batch: out of memory\n");
    return kFailed;
  }
}
