#!/bin/sh
# Drives the program from outside, as a person would: real key strokes and clicks through an X server.
#   drive_window.sh LEEWARD LEEWARD_BATCH DEMO_FOLDER
# Opens a copy of the demo, draws a stand and a trail, undoes and redoes, closes the window, and asks
# leeward-batch what the file holds. Waits for windows, titles and rows, never for time alone.
# Exit 77: Xvfb, xdotool or ogrinfo is not installed.
set -eu
leeward=$1 batch=$2 demo=$3
for tool in Xvfb xdotool ogrinfo; do
  command -v "$tool" >/dev/null || { echo "skipped: $tool is not installed"; exit 77; }
done
work=$(mktemp -d)
pids=""
finish() {
  status=$?
  for pid in $pids; do kill "$pid" 2>/dev/null || true; done
  rm -rf "$work"
  exit $status
}
trap finish EXIT
trap 'exit 1' INT TERM
fail() { echo "failed: $1" >&2; cat "$work/log" >&2; exit 1; }

# until WHAT SECONDS COMMAND...: runs the command till it succeeds.
until_true() {
  what=$1 tries=$(($2 * 10)); shift 2
  while ! "$@" >/dev/null 2>&1; do
    tries=$((tries - 1))
    [ "$tries" -gt 0 ] || fail "$what"
    sleep 0.1
  done
}
rows() { ogrinfo -ro -q -sql "SELECT COUNT(*) AS n FROM $1" "$work/p/tamber_hollow.gpkg" | sed -n 's/.*n (.*) = //p'; }
has_rows() { [ "$(rows "$1")" = "$2" ]; }
is_up() { [ -s "$work/display" ]; }
is_shown() { window=$(xdotool search --onlyvisible --name 'Leeward$' | head -n 1) && [ -n "$window" ]; }
is_gone() { ! kill -0 "$program" 2>/dev/null; }
# Keys go to where the focus is; there is no window manager to give it.
key() { xdotool windowfocus --sync "$window" key --clearmodifiers "$@"; }
click() { xdotool mousemove --sync --window "$window" "$1" "$2" click 1; }

mkdir "$work/p" "$work/home"
cp "$demo"/*.gpkg "$demo"/*.tif "$demo"/*.csv "$work/p/"
Xvfb -displayfd 3 -screen 0 1280x800x24 -nolisten tcp 3>"$work/display" >"$work/log" 2>&1 &
pids=$!
until_true "the X server starts" 20 is_up
DISPLAY=:$(cat "$work/display")
export DISPLAY HOME="$work/home" XDG_CONFIG_HOME="$work/home" QT_QPA_PLATFORM=xcb LC_ALL=C.UTF-8
unset QT_SCALE_FACTOR
"$leeward" "$work/p/tamber_hollow.gpkg" --theme light --text 100 >>"$work/log" 2>&1 &
program=$!
pids="$program $pids"
until_true "the window opens" 40 is_shown
xdotool windowsize --sync "$window" 1280 800 || true
stands=$(rows stand) trails=$(rows deer_trail)

key v s
click 420 330
until_true "a stand is drawn with S and a click, and saved" 20 has_rows stand $((stands + 1))
key t
click 330 480
click 400 520
click 470 470
key Return
until_true "a trail is drawn with T, three clicks and Enter" 20 has_rows deer_trail $((trails + 1))
key ctrl+z
until_true "undo takes the trail away, in the file too" 20 has_rows deer_trail "$trails"
key ctrl+z
until_true "undo takes the stand away" 20 has_rows stand "$stands"
key ctrl+shift+z
until_true "redo brings the stand back" 20 has_rows stand $((stands + 1))
key ctrl+shift+z
until_true "redo brings the trail back" 20 has_rows deer_trail $((trails + 1))
key ctrl+q
until_true "the program ends" 20 is_gone
wait "$program" || fail "the program ended with an error"

"$batch" check "$work/p/tamber_hollow.gpkg" >"$work/check" 2>&1 || { cat "$work/check" >&2; fail "leeward-batch finds the file sound"; }
"$batch" export "$work/p/tamber_hollow.gpkg" --output "$work/out.geojson" >"$work/check" 2>&1 ||
  { cat "$work/check" >&2; fail "leeward-batch reads the file back"; }
[ "$(grep -o '"kind": *"stand"' "$work/out.geojson" | wc -l)" -eq $((stands + 1)) ] ||
  fail "leeward-batch sees the stand that was drawn"
echo "drawn, undone, redone, saved and read back"
