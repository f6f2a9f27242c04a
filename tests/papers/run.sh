#!/usr/bin/env bash
# PDF files of every example read back and rendered by poppler.
#   tests/papers/run.sh PATH-TO-PROGRAM
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
program=$(realpath "$1")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

fail() {
    echo "papers: $*" >&2
    exit 1
}

# every_font_embedded FILE
every_font_embedded() {
    local fonts
    fonts=$(pdffonts "$1" | tail -n +3)
    [ -n "$fonts" ] || fail "$1 has no typeface: its text is no text"
    # Columns from the right: object ID (two), uni, sub, emb.
    awk '$(NF-4) != "yes" || $(NF-2) != "yes" { bad = 1 } END { exit bad }' <<<"$fonts" ||
        fail "$1: a typeface is not embedded or has no characters: $fonts"
}

# page_is FILE WIDTH HEIGHT: page size in millimetres, within 0.1 mm.
page_is() {
    pdfinfo "$1" | awk -v w="$2" -v h="$3" '
        /^Page size:/ { x = $3 * 25.4 / 72; y = $5 * 25.4 / 72; seen = 1 }
        END { d = x - w; e = y - h; exit !(seen && d * d < 0.01 && e * e < 0.01) }' ||
        fail "$1 is not $2 by $3 mm: $(pdfinfo "$1" | grep 'Page size')"
}

# looks_like PDF PNG: both show the same, pixel by pixel in the mean.
looks_like() {
    local width height apart
    read -r width height < <(identify -format '%w %h\n' "$2")
    pdftoppm -scale-to-x "$width" -scale-to-y "$height" -png -singlefile "$1" "$work/rendered" 2>"$work/complaints"
    [ ! -s "$work/complaints" ] || fail "$1: $(cat "$work/complaints")"
    # Mean difference of 0 to 1: some 0.013 (edges), and 0.047 for a page shifted by 0.5 mm.
    apart=$(compare -metric MAE "$work/rendered.png" "$2" null: 2>&1 | sed 's/.*(\(.*\))/\1/' || true)
    awk -v a="$apart" 'BEGIN { exit !(a != "" && a + 0 < 0.022) }' ||
        fail "$1 and $2 differ by $apart in the mean"
}

rendered=0
for scene in "$root"/scenes/*.json; do
    name=$(basename "$scene" .json)
    out="$work/$name"
    "$program" picture "$scene" --out "$out.pdf" --findings >/dev/null
    "$program" picture "$scene" --out "$out.again.pdf" --findings >/dev/null
    "$program" picture "$scene" --out "$out.png" --findings --width 1754 >/dev/null
    cmp -s "$out.pdf" "$out.again.pdf" || fail "$name: two runs give two files"
    page_is "$out.pdf" 297 210
    every_font_embedded "$out.pdf"
    pdfinfo "$out.pdf" >"$work/info" 2>"$work/complaints"
    [ ! -s "$work/complaints" ] || fail "$name: $(cat "$work/complaints")"
    grep -q '^Pages: *1$' "$work/info" || fail "$name: not one page"
    pdftotext -layout "$out.pdf" "$work/text"
    for words in 'top view' 'side view from the left' 'planning figures: measure before ordering' 'scale'; do
        grep -q "$words" "$work/text" || fail "$name: '$words' is not in the text"
    done
    looks_like "$out.pdf" "$out.png"
    rendered=$((rendered + 1))
done
[ "$rendered" -gt 5 ] || fail "only $rendered examples were found"
echo "papers: $rendered pictures read back by poppler"
