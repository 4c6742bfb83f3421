#!/bin/sh
# The long checks that the everyday run leaves out: both sanitizers over every core test, clang-tidy over
# the tree, 500 kills while editing. Takes about an hour: sh cmake/deep.sh
set -eu
cd "$(dirname "$0")/.."
. cmake/packages.sh
# shellcheck disable=SC2086
install_packages $BUILD_PACKAGES $TEST_PACKAGES clang-tidy
for preset in asan tsan; do
  echo "== $preset"
  cmake --preset "$preset"
  cmake --build --preset "$preset"
  ctest --preset "$preset" -LE bench
done
echo "== clang-tidy"
cmake --preset dev
cmake --build --preset dev
git ls-files 'core/*.cpp' 'ui/*.cpp' 'app/*.cpp' | xargs -P "$(nproc)" -n 4 clang-tidy -p build/dev --quiet
echo "== 500 kills"
LEEWARD_KILL_ROUNDS=500 build/dev/tests/core/io/test_io_store --gtest_filter='KillTest*'
