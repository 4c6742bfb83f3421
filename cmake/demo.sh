#!/bin/sh
# Installs, builds and runs the main job on the demo property: opens the window, or, without a display or
# with --print, writes the hunt map and says where. Run it from anywhere: sh cmake/demo.sh [--print]
set -eu
cd "$(dirname "$0")/.."
. cmake/packages.sh
# Compiled objects are found again from another clone of the same commit.
export CCACHE_BASEDIR="$PWD" CCACHE_NOHASHDIR=1
echo "== 1/4 packages"
# shellcheck disable=SC2086
install_packages $BUILD_PACKAGES
echo "== 2/4 build (release)"
cmake --preset release
cmake --build --preset release --target leeward leeward-batch leeward-make-demo
bin=build/release
demo=sample_maps/demo/tamber_hollow.gpkg
echo "== 3/4 the demo property"
[ -f "$demo" ] || "$bin/sample_maps/leeward-make-demo" sample_maps/demo
if [ "${1:-}" != "--print" ] && [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
  echo "== 4/4 opening the window"
  exec "$bin/app/desktop/leeward" "$demo"
fi
echo "== 4/4 no display: evaluating the stands and writing the hunt map"
"$bin/app/batch/leeward-batch" evaluate "$demo"
"$bin/app/batch/leeward-batch" print "$demo" --output build/hunt_map.pdf >/dev/null
echo "The hunt map is $(pwd)/build/hunt_map.pdf"
