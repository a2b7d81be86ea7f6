#!/bin/sh
# Records of the demo kit, read back by poppler: pages, paper, text. One line a check, and how
# many there were.
#
#   sh testdata/outside/record.sh SCANT DEMO FOLDER
set -u
scant=$1 demo=$2 work=$3
passed=0 failed=0
check() {
	if [ "$2" = "$3" ]; then passed=$((passed + 1)); else
		failed=$((failed + 1))
		echo "FAIL $1: got “$2”, want “$3”"
	fi
}
for paper in a4 letter; do
	pdf=$work/$paper.pdf
	"$scant" record --native 1:17.3 --target 1:48 --process resin --bed 220x220x250 --title "Harbour tug" --paper $paper \
		--out "$pdf" --overwrite "$demo" >"$work/said" 2>&1 || { cat "$work/said"; }
	pdfinfo "$pdf" >"$work/info" 2>"$work/trouble"
	check "$paper: pdfinfo finds nothing to complain of" "$(cat "$work/trouble")" ""
	size=$(sed -n 's/^Page size: *//p' "$work/info")
	case $paper in a4) check "$paper: size" "$size" "595.28 x 841.89 pts (A4)" ;; *) check "$paper: size" "$size" "612 x 792 pts (letter)" ;; esac
	pages=$(sed -n 's/^Pages: *//p' "$work/info")
	check "$paper: more than 4 pages" "$([ "${pages:-0}" -gt 4 ] && echo yes)" yes
	check "$paper: title" "$(sed -n 's/^Title: *//p' "$work/info")" "Record of Harbour tug"
	pdftotext -layout "$pdf" "$work/text" 2>"$work/trouble"
	check "$paper: pdftotext finds nothing to complain of" "$(cat "$work/trouble")" ""
	has() { check "$paper: says $1" "$(grep -cF -- "$1" "$work/text" | sed 's/^[1-9][0-9]*$/yes/')" yes; }
	has "36.0417"
	has "×0.36041666666666666"
	has "173/480"
	has "1:17.3"
	has "page 1 of $pages"
	has "page $pages of $pages"
	heads=$(grep -c 'No\. *Part and file' "$work/text")
	check "$paper: the heads of the table of parts are there on each of its pages" "$([ "$heads" -ge 2 ] && echo yes)" yes
	for sum in $(cd "$demo" && sha256sum hull.stl wheelhouse.obj tyres.glb | cut -c1-64); do has "$sum"; done
	# Each part, with what the table for machines calls it.
	"$scant" measure --json "$demo" >"$work/parts.json" 2>/dev/null
	sed -n 's/^ *"name": "\(.*\)",$/\1/p' "$work/parts.json" >"$work/names"
	check "$paper: parts known" "$([ "$(wc -l <"$work/names")" -gt 20 ] && echo yes)" yes
	while read -r name; do has "$name"; done <"$work/names"
	pdffonts "$pdf" >"$work/fonts" 2>/dev/null
	check "$paper: every font is embedded, and tells what its letters are" "$(tail -n +3 "$work/fonts" | grep -vcE 'yes (yes|no ) yes' || true)" 0
done
echo "record: $passed passed, $failed failed"
[ $failed -eq 0 ]
