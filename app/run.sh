#!/bin/sh
# Sets up what is missing, builds Scantling and opens it on the demo kit, or on the files
# and folders given. Where there is no display, the command does the demo's job instead.
#
#   sh app/run.sh [-y] [FILE or FOLDER ...]
#
# -y agrees to the installation of system packages without being asked.
set -eu
here=$(CDPATH='' cd -- "$(dirname -- "$0")" && pwd)
top=$(dirname -- "$here")
from=$PWD
yes=0
if [ "$(id -u)" -eq 0 ] || [ -n "${CI:-}" ]; then yes=1; fi
if [ "${1:-}" = -y ]; then
	yes=1
	shift
fi
. "$here/setup.sh"

case $(uname -s) in
MINGW* | MSYS* | CYGWIN*)
	say "On Windows use the packaged program, or see 'How to install' in README.md."
	exit 1
	;;
esac

cd "$top"
need_go
mkdir -p build

display() {
	[ "$(uname -s)" = Darwin ] || [ -n "${DISPLAY:-}" ] || [ -n "${WAYLAND_DISPLAY:-}" ]
}

if display; then
	need_window
	say "Building the window (a first build takes some minutes, later ones seconds) ..."
	rm -f build/scantling
	build build/scantling ./app -trimpath -tags migrated_fynedo -ldflags "-s -w"
	say "Opening the bench."
	cd "$from"
	if [ $# -eq 0 ]; then exec "$top/build/scantling" --demo; fi
	exec "$top/build/scantling" "$@"
fi

say "There is no display here, so the command does the job instead of the window."
say "Building the command ..."
rm -f build/scant
CGO_ENABLED=0 build build/scant ./app/scant -trimpath
cd "$from"
if [ $# -gt 0 ]; then
	"$top/build/scant" measure "$@"
	say
	say "To save rescaled copies:  build/scant help rescale"
	exit 0
fi
# The hull's header says at what ratio the kit is drawn.
native=$(head -c 80 "$top/assets/demo/hull.stl" | tr -d '\000' | sed -n 's/.*\(1:[0-9.]*[0-9]\).*/\1/p')
out=$(mktemp -d "${TMPDIR:-/tmp}/harbour-tug-1-48.XXXXXX")
say
say "The demo kit, a harbour tug drawn at $native, is to become 1:48."
"$top/build/scant" factor --native "$native" --target 1:48
say
"$top/build/scant" rescale --native "$native" --target 1:48 --verify --out "$out" "$top/assets/demo"
say
say "The rescaled copies lie in $out"
