#!/usr/bin/env bash
# Build sheets, lists and templates read back by other programs: poppler renders and
# measures, Python reads CSV and JSON, ezdxf reads DXF.
#   tests/papers/sheets.sh PATH-TO-PROGRAM
set -euo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
program=$(realpath "$1")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

fail() {
    echo "sheets: $*" >&2
    exit 1
}

# measured_line FILE: millimetres of the check line on the last page, by rendering it.
measured_line() {
    local pages height row
    pages=$(pdfinfo "$1" | awk '/^Pages:/ { print $2 }')
    height=$(pdfinfo -f "$pages" -l "$pages" "$1" | awk '/size:/ { print $6 * 25.4 / 72 }')
    # The line lies 17 mm above the lower edge; 600 dots an inch.
    row=$(awk -v h="$height" 'BEGIN { printf "%d", (h - 17) / 25.4 * 600 }')
    pdftoppm -r 600 -gray -f "$pages" -l "$pages" -y "$row" -H 1 "$1" "$work/row"
    convert "$work"/row*.pgm -threshold 50% txt:- | awk -F'[,:]' '
        /black|#000000|gray\(0\)/ { if (first == "") first = $1; last = $1 }
        END { print (last - first + 1) / 600 * 25.4 }'
    rm -f "$work"/row*.pgm
}

python3 -m venv "$work/python"
"$work/python/bin/pip" install --quiet --disable-pip-version-check "ezdxf>=1.4,<1.5"
cat >"$work/read.py" <<'PYTHON'
import csv, json, sys

kind, path, other = sys.argv[1:4]
if kind == "list":
    with open(path, newline="", encoding="utf-8") as f:
        rows = list(csv.DictReader(f, strict=True))
    data = json.load(open(other, encoding="utf-8"))["rows"]
    assert len(rows) == len(data), (len(rows), len(data))
    for a, b in zip(rows, data):
        for key, text in a.items():
            value = b[key]
            if value is None:
                assert text == "", (key, text)
            elif isinstance(value, (int, float)):
                assert float(text) == value, (key, text, value)
            else:
                assert text.lstrip("'") == value.lstrip("'"), (key, text, value)
else:
    import ezdxf

    drawing = ezdxf.readfile(path)
    assert not drawing.audit().errors, drawing.audit().errors
    assert drawing.units == 4, drawing.units
    lines = list(drawing.modelspace().query('LINE[layer=="CHECK"]'))
    assert len(lines) == 1
    length = (lines[0].dxf.end - lines[0].dxf.start).magnitude
    assert abs(length - 100) < 0.1, length
PYTHON
read_back() { "$work/python/bin/python" "$work/read.py" "$@" || fail "$*"; }

sheets=0
for scene in "$root"/scenes/*.json; do
    name=$(basename "$scene" .json)
    for list in parts screws screw-totals leads stretches sockets labels; do
        "$program" list "$scene" "$list" --out "$work/l.csv" >/dev/null
        "$program" list "$scene" "$list" --out "$work/l.json" >/dev/null
        read_back list "$work/l.csv" "$work/l.json"
    done
    for paper in a4 letter; do
        "$program" sheet "$scene" --paper "$paper" --out "$work/s.pdf" >/dev/null
        "$program" sheet "$scene" --paper "$paper" --out "$work/s2.pdf" >/dev/null
        cmp -s "$work/s.pdf" "$work/s2.pdf" || fail "$name: two runs give two files"
    done
    "$program" list "$scene" labels --paper letter --out "$work/labels.pdf" >/dev/null
    pdftotext -layout "$work/labels.pdf" "$work/text"
    "$program" list "$scene" labels --csv | tail -n +2 | cut -d, -f1 | while read -r label; do
        grep -q -- "$label" "$work/text" || fail "$name: label '$label' is not on its page"
    done
    pdftotext -layout "$work/s.pdf" "$work/text"
    pdffonts "$work/s.pdf" | tail -n +3 | awk '$(NF-4) != "yes" { exit 1 }' || fail "$name: a typeface is not embedded"
    "$program" list "$scene" parts --csv | tail -n +2 | cut -d, -f1 | while read -r id; do
        grep -q -- "$id" "$work/text" || fail "$name: part '$id' is not on the sheet"
    done
    sheets=$((sheets + 1))
done
[ "$sheets" -gt 5 ] || fail "only $sheets examples were found"

first="$root/scenes/first-build.json"
for of in "--zone board" "--zone channel" "--plate rear" "--plate floor --paper letter"; do
    # shellcheck disable=SC2086
    "$program" template "$first" $of --out "$work/t.pdf" >/dev/null
    # shellcheck disable=SC2086
    "$program" template "$first" $of --out "$work/t.dxf" >/dev/null
    read_back dxf "$work/t.dxf" -
    line=$(measured_line "$work/t.pdf")
    awk -v l="$line" 'BEGIN { exit !(l > 99.9 && l < 100.1) }' ||
        fail "the check line of $of measures $line mm in the rendered page"
    echo "sheets: $of: the check line measures $line mm"
done
echo "sheets: $sheets build sheets and their lists read back"
