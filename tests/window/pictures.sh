#!/usr/bin/env bash
# Makes the pictures of README.md: the window in both themes, and the customer's page.
#   tests/window/pictures.sh PATH-TO-PROGRAM
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
program=$(realpath "$1")
out="$root/assets/pictures"
mkdir -p "$out"
work=$(mktemp -d)
export XDG_CONFIG_HOME="$work"
unset WAYLAND_DISPLAY WAYLAND_SOCKET || true
number=90
while [ -e "/tmp/.X11-unix/X$number" ]; do number=$((number + 1)); done
Xvfb ":$number" -screen 0 1600x900x24 -nolisten tcp -noreset >/dev/null 2>&1 &
server=$!
trap 'kill "$server" "${app:-0}" 2>/dev/null || true; rm -rf "$work"' EXIT
export DISPLAY=":$number"
sleep 1
"$program" "$root/scenes/first-build.json" &
app=$!
sleep 3
window=$(xdotool search --name "Closefit" | head -1)
xdotool windowmove "$window" 0 0 windowsize "$window" 1600 900
xdotool windowfocus "$window"
sleep 2
import -window root "$work/light.png"
xdotool mousemove 800 450 key F6
sleep 2
import -window root "$work/dark.png"
for theme in light dark; do
    convert "$work/$theme.png" -strip -define png:compression-level=9 -colors 200 "$out/sheet-$theme.png"
done
"$program" picture "$root/scenes/first-build.json" --out "$work/picture.png" --width 1600
convert "$work/picture.png" -strip -define png:compression-level=9 -colors 200 "$out/picture.png"
