#!/bin/sh
# Sets up what the tests need and runs them all. What cannot be run here is skipped and
# said so; the last line counts.
#
#   sh app/test.sh [-y] [quick]
#
# quick leaves out the race detector, fuzzing, the real window and the outside checks.
set -u
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
top=$(dirname -- "$here")
yes=0
if [ "$(id -u)" -eq 0 ] || [ -n "${CI:-}" ]; then yes=1; fi
quick=0
for word in "$@"; do
	case $word in
	-y) yes=1 ;;
	quick) quick=1 ;;
	*)
		echo "usage: sh app/test.sh [-y] [quick]" >&2
		exit 2
		;;
	esac
done
. "$here/setup.sh"
cd "$top" || exit 1
need_go || exit 1

# The numbers that people read must not depend on who tests.
LC_ALL=C
export LC_ALL

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0 failed=0 skipped=0
went() { passed=$((passed + 1)); say "  ok    $1"; }
broke() { failed=$((failed + 1)); say "  FAIL  $1"; }
skip() { skipped=$((skipped + 1)); say "  skip  $1: $2"; }
heading() { say; say "== $1"; }

# check WHAT COMMAND... passes when the command prints nothing and succeeds.
check() {
	what=$1
	shift
	if "$@" >"$work/out" 2>&1 && [ ! -s "$work/out" ]; then went "$what"; else
		broke "$what"
		sed 's/^/        /' "$work/out" | head -40
	fi
}

# go_test LABEL ARGS... runs go test and counts every test of its own name.
go_test() {
	label=$1
	shift
	"$go" test -v "$@" >"$work/log" 2>&1
	status=$?
	p=$(grep -c '^--- PASS' "$work/log")
	f=$(grep -c '^--- FAIL' "$work/log")
	s=$(grep -c '^--- SKIP' "$work/log")
	if [ $status -ne 0 ] && [ "$f" -eq 0 ]; then f=1; fi
	if [ $status -eq 0 ] && [ "$p" -eq 0 ]; then
		f=1
		say "        no test ran"
	fi
	passed=$((passed + p)) failed=$((failed + f)) skipped=$((skipped + s))
	if [ "$f" -eq 0 ]; then say "  ok    $label: $p passed, $s skipped"; else
		say "  FAIL  $label: $p passed, $f failed, $s skipped"
		grep -E '^(--- FAIL|\s+.*_test\.go:|\s+(Error|Messages):|panic:|FAIL|# )|\.go:[0-9]+:[0-9]+:|WARNING: DATA RACE' "$work/log" | head -60
	fi
	[ "$s" -eq 0 ] || grep -B1 '^--- SKIP' "$work/log" | sed 's/^/        /' | head -10
}

heading "The tree"
unformatted() { find app engine formats assets testdata -name node_modules -prune -o -name '*.go' -print | xargs "$(dirname -- "$("$go" env GOROOT)/bin/x")/gofmt" -l; }
check "gofmt" unformatted
stray() {
	if [ -e .git ] && has git; then git -c core.quotePath=off ls-files; else find . -mindepth 1 -maxdepth 1 | sed 's|^\./||'; fi |
		cut -d/ -f1 | sort -u |
		grep -vxE 'app|engine|formats|assets|testdata|go\.mod|go\.sum|README\.md|DEVELOPERS\.md|FyneApp\.toml|LICENSE|build|\..*' || true
}
check "top level holds only what belongs there" stray
# upward ROOM FORBIDDEN: the packages below ROOM must not reach one that matches.
upward() {
	CGO_ENABLED=0 "$go" list -deps -f '{{.ImportPath}}' $1 >"$work/deps" || return 1
	grep -E "$2" "$work/deps" || true
}
check "engine knows no format and no window" upward ./engine/... '^scantling/(app|formats)|^fyne\.io'
check "formats know no window" upward ./formats/... '^scantling/app|^fyne\.io'
check "state, words, sheet and command know no widget" upward "./app/state/... ./app/text/... ./app/sheet/... ./app/record/... ./app/scant/..." '^fyne\.io'
check "go vet" env CGO_ENABLED=0 "$go" vet -tags ci ./...
check "go vet for Windows on 32 bits" env CGO_ENABLED=0 GOOS=windows GOARCH=386 "$go" vet ./engine/... ./formats/... ./app/state/... ./app/text/... ./app/sheet/... ./app/record/... ./app/scant/...

heading "Tests without a display or a C compiler"
CGO_ENABLED=0
export CGO_ENABLED
go_test "engine" ./engine/...
go_test "formats" ./formats/...
go_test "assets" ./assets/...
go_test "state, words, sheet, command" ./app/state/... ./app/text/... ./app/sheet/... ./app/record/... ./app/scant/...
go_test "panes (pictures and taps)" ./app/ui/...
go_test "the program's name and version" -tags ci ./app
unset CGO_ENABLED

if [ $quick = 1 ]; then
	skip "race detector, fuzzing, real window, outside checks" "quick was asked for"
else
	heading "Tests with the race detector"
	if has cc || has gcc; then
		go_test "engine, formats, state under -race" -race -short -timeout 30m ./engine/... ./formats/... ./app/state/...
	else
		skip "race detector" "no C compiler"
	fi

	heading "Fuzzing, 20 seconds a target"
	# again TARGET FOLDER tries the input that a worker was busy with when it ended, by itself.
	again() {
		input=$(sed -n 's/.*Failing input written to //p' "$work/out" | tail -1)
		[ -f "$2/$input" ] && CGO_ENABLED=0 "$go" test -run "^$1\$/^$(basename "$input")\$" -count 20 -timeout 60s "./$2" >"$work/again" 2>&1
	}
	grep -rlE '^func Fuzz' --include='*_test.go' engine formats app | sort >"$work/fuzzed"
	while read -r file; do
		for target in $(sed -n 's/^func \(Fuzz[A-Za-z0-9_]*\)(.*/\1/p' "$file"); do
			if CGO_ENABLED=0 "$go" test -run '^$' -fuzz "^$target\$" -fuzztime 20s -fuzzminimizetime 10x "./$(dirname "$file")" >"$work/out" 2>&1; then
				went "$target ($(grep -o 'execs: [0-9]*' "$work/out" | tail -1))"
			elif grep -q 'context deadline exceeded' "$work/out" && ! grep -qE 'Failing input|_test\.go:|panic' "$work/out"; then
				# The go command says so when its own time ends while a worker is busy: no input failed.
				went "$target ($(grep -o 'execs: [0-9]*' "$work/out" | tail -1); stopped late)"
			elif grep -q 'fuzzing process hung or terminated' "$work/out" && again "$target" "$(dirname "$file")"; then
				# A worker that gets no processor for ten seconds counts as hung; its input is quick.
				went "$target (held up by the machine: its last input passes by itself)"
			else
				broke "$target"
				tail -30 "$work/out" | sed 's/^/        /'
				# The input, for base64 -d | gunzip: no other run may ever find it again.
				sed -n 's/.*Failing input written to //p' "$work/out" | while read -r input; do
					echo "        $input"
					gzip -9c "$(dirname "$file")/$input" | base64 | sed 's/^/        /'
				done
			fi
		done
	done <"$work/fuzzed"

	heading "The real window"
	if [ "$(uname -s)" = Linux ]; then
		need_window || true
		if ! has Xvfb || ! has xdotool; then
			case $(manager) in
			apt-get) install "test the real window" xvfb libgl1-mesa-dri xdotool || true ;;
			dnf) install "test the real window" xorg-x11-server-Xvfb mesa-dri-drivers xdotool || true ;;
			pacman) install "test the real window" xorg-server-xvfb mesa xdotool || true ;;
			zypper) install "test the real window" xorg-x11-server-Xvfb Mesa-dri xdotool || true ;;
			esac
		fi
	fi
	if has Xvfb && has xdotool && has cc; then
		go_test "the window under Xvfb" -tags "window gles" -count=1 -timeout 10m ./app
	else
		skip "the window under Xvfb" "no Xvfb, xdotool or C compiler can be had here"
	fi

	heading "Checks from outside"
	if ! has pdftotext && [ "$(manager)" = apt-get ]; then
		install "read records with poppler" poppler-utils || true
	fi
	if has pdftotext && has pdfinfo && has pdffonts; then
		CGO_ENABLED=0 "$go" build -o "$work/scant" ./app/scant
		mkdir "$work/record"
		sh testdata/outside/record.sh "$work/scant" assets/demo "$work/record" >"$work/out" 2>&1
		sed 's/^/  /' "$work/out" | tail -20
		counts=$(sed -n 's/^record: \([0-9]*\) passed, \([0-9]*\) failed$/\1 \2/p' "$work/out")
		if [ -n "$counts" ]; then
			passed=$((passed + ${counts% *}))
			failed=$((failed + ${counts#* }))
		else
			broke "checks of records did not come to an end"
		fi
	else
		skip "records by poppler" "its tools cannot be had here"
	fi
	if has node && has npm; then
		CGO_ENABLED=0 "$go" build -o "$work/scant" ./app/scant
		if (cd testdata/outside && npm ci --ignore-scripts --silent) >"$work/out" 2>&1; then
			mkdir "$work/rays"
			CGO_ENABLED=0 "$go" run ./testdata/outside/rays "$work/rays" >"$work/rays/list.json"
			if has c++ && [ ! -d /usr/include/lib3mf ] && [ "$(manager)" = apt-get ]; then
				install "read 3MF packages with lib3mf" lib3mf-dev || true
			fi
			set -- --rays "$work/rays" --packages testdata/3mf
			if c++ -I/usr/include/lib3mf -o "$work/lib3mf" testdata/outside/lib3mf.cpp -l3MF >"$work/out" 2>&1; then
				set -- "$@" --lib3mf "$work/lib3mf"
			else
				skip "3MF by lib3mf" "version 1 of that library cannot be had here"
			fi
			node testdata/outside/check.mjs --scant "$work/scant" --demo assets/demo --vectors testdata/gltf "$@" >"$work/out" 2>&1
			sed 's/^/  /' "$work/out" | tail -40
			counts=$(sed -n 's/^outside: \([0-9]*\) passed, \([0-9]*\) failed$/\1 \2/p' "$work/out")
			if [ -n "$counts" ]; then
				passed=$((passed + ${counts% *}))
				failed=$((failed + ${counts#* }))
			else
				broke "outside checks did not come to an end"
			fi
		else
			skip "outside checks" "their packages cannot be fetched: $(tail -1 "$work/out")"
		fi
	else
		skip "outside checks" "Node is not here"
	fi
fi

say
say "$passed passed, $failed failed, $skipped skipped"
[ "$failed" -eq 0 ]
