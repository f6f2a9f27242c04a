#!/usr/bin/env bash
# The build sheet's HTML in a real browser, without a network: what is ticked and written
# is there after the page is opened anew, fingers hit what they aim at, nothing is cut.
#   tests/papers/browser.sh PATH-TO-PROGRAM
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
program=$(realpath "$1")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

fail() {
    echo "browser: $*" >&2
    exit 1
}

# browse PROFILE ARGUMENTS...: the browser on a fresh or a known profile.
browse() {
    local profile=$1
    shift
    timeout 120 chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run \
        --disable-background-networking --disable-component-update --disable-sync \
        --user-data-dir="$work/$profile" "$@" 2>"$work/complaints" ||
        fail "the browser ended with $?: $(tail -3 "$work/complaints")"
}

# with_script FILE SCRIPT: the same sheet with a script after its own.
with_script() {
    python3 -c 'import sys
sheet, script = (open(p, encoding="utf-8").read() for p in sys.argv[1:])
print(sheet.replace("</body>", "<script>" + script + "</script></body>"))' "$1" "$2"
}

# What a person does: two boxes of tables, one of a list, a field.
cat >"$work/use.js" <<'JS'
addEventListener('load', function () {
  document.querySelectorAll('td.tick label')[0].click();
  document.querySelectorAll('td.tick input')[1].click();
  document.querySelector('.ticks label').click();
  var field = document.querySelector('input[type=text]');
  field.value = 'SN \'1\' <2>';
  field.dispatchEvent(new Event('input'));
});
JS
# What is there afterwards, as text in the page.
cat >"$work/read.js" <<'JS'
addEventListener('load', function () {
  var out = document.createElement('pre');
  out.id = 'seen';
  var small = [], wide = [];
  document.querySelectorAll('input,button,nav a').forEach(function (e) {
    var r = (e.closest('label') || e).getBoundingClientRect();
    if (r.height < 44 || r.width < 44) small.push(e.id || e.textContent);
  });
  document.querySelectorAll('.wide').forEach(function (e) {
    if (e.scrollWidth > e.clientWidth + 1) wide.push(e.parentNode.querySelector('h2').id);
  });
  out.textContent = 'COUNT=' + document.getElementById('count').textContent +
    ';DONE=' + document.querySelectorAll('tr.done,li.done').length +
    ';FIELD=' + document.querySelector('input[type=text]').value +
    ';SMALL=' + small.join() + ';WIDE=' + wide.join() +
    ';PAGE=' + (document.documentElement.scrollWidth - innerWidth) +
    ';REST=' + (performance.getEntriesByType('resource').length) + ';';
  document.body.appendChild(out);
});
JS

# seen NAME FILE: what the script above wrote.
seen() {
    grep -o "[^>]*COUNT=.*;REST=[0-9]*;" "$2" | sed 's/&lt;/</g; s/&gt;/>/g' | grep -o "$1=[^;]*" | head -1 | cut -d= -f2-
}

sheet() {
    local name
    name=$(basename "$1" .json)
    "$program" sheet "$1" --out "$work/$name.html" >/dev/null
    with_script "$work/$name.html" "$work/use.js" >"$work/$name-use.html"
    with_script "$work/$name.html" "$work/read.js" >"$work/$name-read.html"
}

sheet "$root/scenes/first-build.json"
page="file://$work/first-build"
boxes=$(grep -o '<input type="checkbox"' "$work/first-build.html" | wc -l)
[ "$boxes" -gt 50 ] || fail "only $boxes boxes to tick"

browse one --dump-dom "$page-use.html" >/dev/null
browse one --window-size=768,1024 --dump-dom "$page-read.html" >"$work/again.html"
[ "$(seen COUNT "$work/again.html")" = "3 of $boxes done" ] ||
    fail "after opening it anew: '$(seen COUNT "$work/again.html")' of 3 ticked of $boxes"
[ "$(seen DONE "$work/again.html")" = 3 ] || fail "what is done does not show it"
[ "$(seen FIELD "$work/again.html")" = "SN '1' <2>" ] ||
    fail "the written field reads '$(seen FIELD "$work/again.html")'"
[ "$(seen REST "$work/again.html")" = 0 ] || fail "the sheet loads something"

# Another sheet and another browser know nothing of it.
sheet "$root/scenes/cube-microatx.json"
browse one --dump-dom "file://$work/cube-microatx-read.html" >"$work/other.html"
[[ "$(seen COUNT "$work/other.html")" == "0 of "* ]] || fail "two sheets mix their ticks"
browse two --dump-dom "$page-read.html" >"$work/fresh.html"
[[ "$(seen COUNT "$work/fresh.html")" == "0 of "* ]] || fail "a fresh browser has ticks"

# Tablets, upright and lying: large enough to touch, nothing beside the screen.
for scene in first-build cube-microatx; do
    for width in 768 1024; do
        browse two --window-size=$width,1024 --dump-dom "file://$work/$scene-read.html" >"$work/touch.html"
        [ -n "$(seen COUNT "$work/touch.html")" ] || fail "$scene: nothing was read"
        [ -z "$(seen SMALL "$work/touch.html")" ] ||
            fail "$scene at $width: smaller than 44 px: $(seen SMALL "$work/touch.html")"
        [ -z "$(seen WIDE "$work/touch.html")" ] ||
            fail "$scene at $width: tables wider than the screen in: $(seen WIDE "$work/touch.html")"
        [ "$(seen PAGE "$work/touch.html")" -le 0 ] || fail "$scene at $width: the page scrolls sideways"
    done
done

# On paper: every row to its last cell, no more than a few sheets.
browse two --no-pdf-header-footer --print-to-pdf="$work/print.pdf" "$page.html"
pages=$(pdfinfo "$work/print.pdf" | awk '/^Pages:/ { print $2 }')
[ "$pages" -le 9 ] || fail "the printed sheet takes $pages pages"
pdftotext -layout "$work/print.pdf" "$work/print.txt"
"$program" list "$root/scenes/first-build.json" leads --json >"$work/leads.json"
python3 - "$work/leads.json" "$work/print.txt" <<'PYTHON' || fail "a lead is cut off on the printed sheet"
import json, re, sys

rows = json.load(open(sys.argv[1], encoding="utf-8"))["rows"]
lines = open(sys.argv[2], encoding="utf-8").read().split("\n")
assert rows
for row in rows:
    # The row's first line ends with its figures: the last of them has to be on the paper.
    figure = row["cut_mm"] if row["cut_mm"] is not None else row["spare_mm"]
    text = f"{figure:.1f}"
    assert any(re.search(rf"(?<![\d.]){re.escape(text)}(?!\d)", line) for line in lines), (row["lead"], text)
PYTHON
echo "browser: ticks kept, fingers fit, $pages printed pages"
