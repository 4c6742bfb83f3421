// The verbs of leeward-batch. Each registers its options and runs when it was chosen. Answers go to
// stdout, messages and progress to stderr. Exit codes: 0 done, 1 it failed, 2 the words of the call
// are wrong, 3 `check` found errors.
#pragma once

#include "core/base/result.h"

#include <CLI/CLI.hpp>

#include <functional>

namespace leeward::batch {

inline constexpr int kFailed = 1, kWrongCall = 2, kFoundErrors = 3;

/// What to run once the call is parsed; the int is the exit code.
using Run = std::function<Result<int>()>;

void add_create(CLI::App& app, Run& run);
void add_check(CLI::App& app, Run& run);
void add_evaluate(CLI::App& app, Run& run);
void add_export(CLI::App& app, Run& run);
void add_forecasts(CLI::App& app, Run& run);
void add_plan(CLI::App& app, Run& run);
void add_print(CLI::App& app, Run& run);
void add_season(CLI::App& app, Run& run);
void add_ways(CLI::App& app, Run& run);
void add_dump(CLI::App& app, Run& run);

/// A progress line on stderr, kept to one line on a terminal.
void show_progress(double share, const char* what);

}  // namespace leeward::batch
