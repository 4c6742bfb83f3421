# Debian 12 packages, sourced by demo.sh and test.sh. install_packages LIST installs what is missing.
BUILD_PACKAGES="g++ cmake ninja-build ccache pkg-config qt6-base-dev qt6-svg-dev qt6-qpa-plugins libgdal-dev libproj-dev
  libgeos-dev libhowardhinnant-date-dev nlohmann-json3-dev libcli11-dev libqpdf-dev fonts-open-sans tzdata"
TEST_PACKAGES="libgtest-dev libgmock-dev libbenchmark-dev libeigen3-dev gdal-bin qpdf poppler-utils libxml2-utils unzip
  clang-format xvfb xdotool"

install_packages() {
  missing=""
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q "install ok installed" || missing="$missing $package"
  done
  if [ -z "$missing" ]; then
    echo "== every package is here already"
    return 0
  fi
  root=""
  if [ "$(id -u)" -ne 0 ]; then
    command -v sudo >/dev/null || { echo "Run this as root, or install sudo: packages are missing:$missing" >&2; exit 1; }
    root="sudo"
  fi
  echo "== installing:$missing"
  $root apt-get update -q
  # shellcheck disable=SC2086
  $root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $missing
}
