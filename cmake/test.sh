#!/bin/sh
# Installs, builds and runs every test without a display: sh cmake/test.sh
set -eu
cd "$(dirname "$0")/.."
. cmake/packages.sh
# Compiled objects are found again from another clone of the same commit.
export CCACHE_BASEDIR="$PWD" CCACHE_NOHASHDIR=1
echo "== 1/3 packages"
# shellcheck disable=SC2086
install_packages $BUILD_PACKAGES $TEST_PACKAGES
fetch_schemas build/schemas
echo "== 2/3 build (dev: optimised, asserts on)"
cmake --preset dev
cmake --build --preset dev
echo "== 3/3 tests"
ctest --preset dev -j "$(nproc)"
