#!/usr/bin/env bash
# Drives the real window under Xvfb with mouse and keys: a fan from the shelf into a
# zone, a clash made, listed and undone, a cable cut, save, reopen, export, searches
# started, cancelled, taken over and undone. It checks
# the saved file and the pictures, not only that nothing crashed.
#   tests/window/run.sh PATH-TO-PROGRAM
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
program=$(realpath "$1")
work=$(mktemp -d)
export XDG_CONFIG_HOME="$work/config"
unset WAYLAND_DISPLAY WAYLAND_SOCKET DBUS_SESSION_BUS_ADDRESS || true
app=""
server=""
finish() {
    [ -n "$app" ] && kill "$app" 2>/dev/null || true
    [ -n "$server" ] && kill "$server" 2>/dev/null || true
    rm -rf "$work"
}
trap finish EXIT
fail() {
    echo "window run: $*" >&2
    if [ -n "${KEEP_SHOT:-}" ]; then import -window root "$KEEP_SHOT" || true; fi
    exit 1
}

number=90
while [ -e "/tmp/.X11-unix/X$number" ]; do number=$((number + 1)); done
Xvfb ":$number" -screen 0 1280x720x24 -nolisten tcp -noreset >/dev/null 2>&1 &
server=$!
export DISPLAY=":$number"
for _ in $(seq 50); do [ -e "/tmp/.X11-unix/X$number" ] && break; sleep 0.1; done

start() {
    "$program" "$1" >"$work/log" 2>&1 &
    app=$!
    window=""
    for _ in $(seq 100); do
        window=$(xdotool search --name "Closefit" 2>/dev/null | head -1 || true)
        [ -n "$window" ] && break
        sleep 0.1
    done
    [ -n "$window" ] || fail "no window appeared: $(cat "$work/log")"
    sleep 1
    xdotool windowmove "$window" 0 0 windowsize "$window" 1280 720
    # A window that is not on the screen yet refuses the focus.
    for _ in $(seq 30); do xdotool windowfocus "$window" 2>/dev/null && break; sleep 0.3; done
    sleep 1
}
stop() {
    xdotool key ctrl+q
    for _ in $(seq 50); do kill -0 "$app" 2>/dev/null || break; sleep 0.1; done
    kill -0 "$app" 2>/dev/null && fail "the window did not close: $1"
    wait "$app" || fail "the program ended with an error: $(cat "$work/log")"
    app=""
}
drag() { # from x y to x y
    xdotool mousemove "$1" "$2"
    sleep 0.2
    xdotool mousedown 1
    sleep 0.2
    for i in 1 2 3 4 5 6 7 8; do
        xdotool mousemove $(($1 + ($3 - $1) * i / 8)) $(($2 + ($4 - $2) * i / 8))
        sleep 0.06
    done
    sleep 0.2
    xdotool mouseup 1
    sleep 0.4
}
save() { # saves and waits until the file differs from what it was
    local before
    before=$(cat "$scene" | md5sum)
    xdotool mousemove 760 300 key ctrl+s
    for _ in $(seq 50); do
        [ "$(cat "$scene" | md5sum)" != "$before" ] && return 0
        sleep 0.1
    done
    fail "nothing was saved: $1"
}
has() { grep -qF -- "$1" <<<"$(tr -d ' \n' <"$scene")" || fail "the saved file lacks $1 ($2)"; }
lacks() { ! grep -qF -- "$1" <<<"$(tr -d ' \n' <"$scene")" || fail "the saved file still has $1 ($2)"; }
times() { # how often the saved file says it: both arrangements hold the same cables
    local found
    found=$(tr -d ' \n' <"$scene" | grep -oF -- "$1" | wc -l || true)
    [ "$found" = "$2" ] || fail "the saved file has $1 $found times, not $2 ($3)"
}
typed_path() { # into the path field of the open dialog
    sleep 0.8
    xdotool key ctrl+a
    xdotool type --delay 8 "$1"
    xdotool key Return
    sleep 0.8
}

scene="$work/desk.json"
cp "$here/desk.json" "$scene"
start "$scene"

# 1. Search the shelf and drag a fan into the front view: it lands on its holes.
xdotool mousemove 115 62 click 1
xdotool type --delay 8 "fan, 120 mm, 25 thick"
sleep 1
drag 100 114 806 446
save "a fan from the shelf"
has '"kind":"fan-120x25"' "fan placed"
has '"part":"fan","at":[90,2,40]' "fan snapped to the zone's holes"

# 2. Drag one drive into the other: a clash, seen by the check of the saved file.
drag 406 243 406 200
save "a drive moved"
if "$program" check "$scene" >"$work/check.txt"; then fail "check must find a stop"; fi
grep -q "clash:a+b" "$work/check.txt" || fail "the clash is not listed: $(cat "$work/check.txt")"
import -window root "$work/clash.png"

# 3. Undo takes it back; the fan stays.
xdotool mousemove 760 300 key ctrl+z
sleep 0.4
save "undo"
"$program" check "$scene" >"$work/check.txt" || true
! grep -q "clash:a+b" "$work/check.txt" || fail "the clash is still there after undo"
has '"part":"a","at":[20,100,2]' "the drive is back"
import -window root "$work/calm.png"
changed=$(compare -metric AE "$work/clash.png" "$work/calm.png" null: 2>&1 || true)
[ "${changed%%.*}" -gt 500 ] || fail "the clash did not show on the sheet"

# 4. Keys: nudge by 10 mm, duplicate, remove.
xdotool mousemove 406 243 click 1
xdotool key shift+Up
sleep 0.3
save "nudged"
has '"part":"a","at":[30,100,2]' "nudged by 10 mm up the page, which is +x"
xdotool mousemove 406 243 key ctrl+z
sleep 0.4

# 5. Close, reopen: the same scene is on the sheet, and the dark theme draws it.
save "before closing"
stop "nothing unsaved"
start "$scene"
xdotool mousemove 760 300 key F6
dark=""
for _ in $(seq 30); do
    sleep 0.2
    import -window root "$work/dark.png"
    mean=$(convert "$work/dark.png" -colorspace Gray -format '%[fx:mean]' info:)
    if awk "BEGIN{exit !($mean < 0.4)}"; then dark=yes; break; fi
done
[ -n "$dark" ] || fail "the dark theme is not dark: $mean"

# 6. Export: without a dialog service the window offers a path field.
for ending in png svg; do
    xdotool key ctrl+e
    sleep 0.6
    xdotool mousemove 640 300
    if [ "$ending" = svg ]; then :; fi
    xdotool key Return
    sleep 0.8
    typed_path "$work/out.$ending"
    for _ in $(seq 100); do [ -s "$work/out.$ending" ] && break; sleep 0.1; done
    [ -s "$work/out.$ending" ] || fail "no picture out.$ending"
done
size=$(identify -format '%w %h' "$work/out.png")
[ "${size%% *}" -ge 600 ] || fail "the PNG is too small: $size"
colours=$(identify -format '%k' "$work/out.png")
[ "$colours" -gt 20 ] || fail "the PNG is blank: $colours colours"
grep -q "Window test desk" "$work/out.svg" || fail "the SVG lacks the title"
grep -q "data-owner" "$work/out.svg" || fail "the SVG lacks the parts"
stop "after the export"

# 7. A search of all 308 parts of the test field is started and cancelled: the button to
# start is back, and the scene has not changed.
# The end of the longer of both buttons: whether it has the focus makes no difference there.
button() { import -window root -crop 6x12+98+463 +repage "$1"; }
same() { local d; d=$(compare -metric AE "$1" "$2" null: 2>&1 || true); [ "${d%%.*}" -lt 20 ]; }
scene="$work/field.json"
cp "$here/../../scenes/test-field.json" "$scene"
start "$scene"
sleep 4 # 308 parts are drawn for the first time
xdotool mousemove 459 521
sleep 0.5
xdotool click 1
sleep 2
xdotool mousemove 94 504 click 1
sleep 1
xdotool mousemove 700 300
sleep 0.5
button "$work/idle.png"
xdotool mousemove 51 469
sleep 0.5
xdotool click 1
sleep 1
xdotool mousemove 700 300
sleep 1.5
button "$work/busy.png"
! same "$work/idle.png" "$work/busy.png" || fail "the search did not start"
xdotool mousemove 51 469
sleep 0.5
xdotool click 1
sleep 1
xdotool mousemove 700 300
ended=""
for _ in $(seq 100); do
    sleep 0.2
    button "$work/now.png"
    if same "$work/idle.png" "$work/now.png"; then ended=yes; break; fi
done
[ -n "$ended" ] || fail "the search was not cancelled"
stop "after the cancelled search"
cmp "$scene" "$here/../../scenes/test-field.json" || fail "a cancelled search changed the file"

# 8. A search of a flat rack box, its cables led along no ties, runs to its end; what it found is added, saved, and undone.
scene="$work/rack.json"
cp "$here/rack.json" "$scene"
start "$scene"
xdotool mousemove 451 521 click 1
sleep 1
xdotool mousemove 700 300
sleep 0.5
# None may move but three: both drives and the first fan.
for at in "142 504" "14 576" "14 600" "14 625"; do
    xdotool mousemove $at
    sleep 0.4
    xdotool click 1
    sleep 0.4
done
xdotool mousemove 700 300
sleep 0.5
button "$work/idle.png"
xdotool mousemove 51 469
sleep 0.5
xdotool click 1
sleep 1
xdotool mousemove 700 300
for _ in $(seq 600); do
    sleep 0.2
    import -window root -crop 420x20+110+459 +repage "$work/words.png"
    button "$work/now.png"
    colours=$(identify -format '%k' "$work/words.png")
    if same "$work/idle.png" "$work/now.png" && [ "$colours" -gt 4 ]; then break; fi
done
sleep 0.5
xdotool mousemove 900 641 click 1
sleep 0.8
save "what the search found"
has '"name":"found1"' "found 1 added as an arrangement"
"$program" check "$scene" >"$work/check.txt" || fail "what was found has a stop: $(cat "$work/check.txt")"
xdotool mousemove 700 300 key ctrl+z
sleep 0.8
save "the undone search"
lacks '"name":"found1"' "undone"
stop "after the search"

# 9. A cable is chosen in the list; the place that it is led along is dragged, saved, undone.
scene="$work/cube.json"
cp "$here/../../scenes/cube-microatx.json" "$scene"
start "$scene"
xdotool mousemove 163 521
sleep 0.5
xdotool click 1
sleep 1
xdotool mousemove 100 556
sleep 0.5
xdotool click 1
sleep 1
times '"via":[[85,121,49]]' 2 "the place before"
drag 468 181 468 150
save "the dragged way"
times '"via":[[85,121,49]]' 1 "the place dragged away"
xdotool mousemove 700 300 key ctrl+z
sleep 0.8
save "the way as it was"
times '"via":[[85,121,49]]' 2 "the place after undo"
stop "after the dragged way"
echo "window run: all steps passed"
