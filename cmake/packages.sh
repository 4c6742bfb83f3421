# Debian 12 packages, sourced by demo.sh and test.sh. install_packages LIST installs what is missing.
BUILD_PACKAGES="g++ cmake ninja-build ccache pkg-config qt6-base-dev qt6-svg-dev qt6-qpa-plugins libgdal-dev libproj-dev
  libgeos-dev libhowardhinnant-date-dev nlohmann-json3-dev libcli11-dev libqpdf-dev fonts-open-sans tzdata"
TEST_PACKAGES="libgtest-dev libgmock-dev libbenchmark-dev libeigen3-dev gdal-bin qpdf poppler-utils libxml2-utils unzip
  clang-format xvfb xdotool"

# The public schemas of GPX 1.1 and of KML 2.2, unpacked into FOLDER out of a Debian package that carries both.
# The package itself is not installed. Without a net the test that needs them is skipped and says so.
fetch_schemas() {
  [ -f "$1/ogckml22.xsd" ] && return 0
  mkdir -p "$1" && (
    cd "$1" && apt-get -q -o APT::Sandbox::User=root download pytrainer && dpkg-deb -x pytrainer_*.deb unpacked &&
      cd unpacked/usr/share/pytrainer/schemas && mv Topografix_gpx11.xsd "$OLDPWD/gpx11.xsd" &&
      mv xAL.xsd atom-author-link.xsd ogckml22.xsd "$OLDPWD"
  ) || echo "== the public schemas of GPX and KML could not be fetched: their test will be skipped"
  rm -rf "$1/unpacked" "$1"/pytrainer_*.deb
}

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
