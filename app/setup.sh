# Shared by run.sh and test.sh: finds or installs what is needed to build. Sourced, not run.
# Sets no option; expects `say`, `yes` (1: do not ask) and leaves $go as the Go command.

say() { printf '%s\n' "$*"; }
has() { command -v "$1" >/dev/null 2>&1; }

as_root() {
	if [ "$(id -u)" -eq 0 ]; then "$@"; elif has sudo; then sudo "$@"; else
		say "This needs the system administrator's rights and there is no sudo: $*"
		return 1
	fi
}

# manager names the system's package manager, or nothing.
manager() {
	for m in apt-get dnf pacman zypper; do
		if has $m; then echo $m; return; fi
	done
}

# install WHAT-FOR PACKAGE... says what it will install, asks, and installs.
install() {
	purpose=$1
	shift
	pm=$(manager)
	say "To $purpose these packages of your system are needed: $*"
	if [ "$yes" != 1 ]; then
		if [ ! -t 0 ]; then
			say "Nobody is here to be asked. Start again with -y to agree."
			return 1
		fi
		printf 'Install them now with %s? [y/N] ' "$pm"
		read -r answer
		case $answer in [yY]*) ;; *) return 1 ;; esac
	fi
	case $pm in
	apt-get)
		as_root env DEBIAN_FRONTEND=noninteractive apt-get update -qq &&
			as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@" >/dev/null
		;;
	dnf) as_root dnf install -y -q "$@" ;;
	pacman) as_root pacman -S --needed --noconfirm --quiet "$@" ;;
	zypper) as_root zypper --non-interactive --quiet install "$@" ;;
	esac
}

# need_go finds a Go that can fetch the toolchain go.mod asks for (1.21 and later do).
need_go() {
	go=go
	for dir in "" /usr/local/go/bin/ /usr/lib/go/bin/ "${HOME:-}/go/bin/" "${HOME:-}/.local/go/bin/"; do
		if has "${dir}go" && go_serves "${dir}go"; then
			go=${dir}go
			return 0
		fi
	done
	case $(manager) in
	apt-get) install "build the program" golang-go ca-certificates || true ;;
	dnf) install "build the program" golang || true ;;
	pacman) install "build the program" go || true ;;
	zypper) install "build the program" go || true ;;
	esac
	if has go && go_serves go; then return 0; fi
	say "Go 1.21 or later is needed and your system has none to give."
	say "Fetch it from https://go.dev/dl, unpack it as /usr/local/go, and start again."
	return 1
}

go_serves() {
	v=$("$1" env GOVERSION 2>/dev/null | sed -n 's/^go1\.\([0-9]*\).*/\1/p')
	[ -n "$v" ] && [ "$v" -ge 21 ]
}

# need_window installs the C compiler and the headers that the window is built with.
need_window() {
	case $(uname -s) in
	Darwin)
		if ! xcode-select -p >/dev/null 2>&1; then
			say "The window needs Apple's command-line tools. Install them with:  xcode-select --install"
			return 1
		fi
		return 0
		;;
	esac
	if has cc && has pkg-config && pkg-config --exists gl x11 xrandr xcursor xinerama xi xxf86vm; then return 0; fi
	case $(manager) in
	apt-get) install "build the window" gcc libc6-dev pkg-config libgl-dev libx11-dev libxrandr-dev libxcursor-dev libxinerama-dev libxi-dev libxxf86vm-dev ;;
	dnf) install "build the window" gcc pkgconf-pkg-config mesa-libGL-devel libX11-devel libXrandr-devel libXcursor-devel libXinerama-devel libXi-devel libXxf86vm-devel ;;
	pacman) install "build the window" gcc pkgconf libglvnd libx11 libxrandr libxcursor libxinerama libxi libxxf86vm ;;
	zypper) install "build the window" gcc pkgconf-pkg-config Mesa-libGL-devel libX11-devel libXrandr-devel libXcursor-devel libXinerama-devel libXi-devel libXxf86vm-devel ;;
	*)
		say "The window needs a C compiler, pkg-config and the headers of OpenGL and X11 (libX11, Xrandr, Xcursor, Xinerama, Xi, Xxf86vm)."
		say "Your system has no package manager that this script knows: install them and start again."
		return 1
		;;
	esac
}

# build OUT PACKAGE [FLAG...] compiles with a line that counts the packages as they are done.
build() {
	out=$1
	package=$2
	shift 2
	all=$("$go" list "$@" -deps "$package" 2>/dev/null | wc -l | tr -d ' ')
	log=$(mktemp)
	# -v names each package as it is compiled; those in the cache are not named.
	"$go" build -v "$@" -o "$out" "$package" 2>&1 | awk -v all="$all" -v log_="$log" -v tty="$([ -t 1 ] && echo 1 || echo 0)" '
		{ print > log_ }
		/^[a-zA-Z0-9_.\/-]+$/ {
			n++
			if (tty) { printf "\r  compiled %d of at most %d: %-50.50s", n, all, $0; fflush() }
			else if (n % 25 == 0) { printf "  compiled %d of at most %d\n", n, all; fflush() }
		}
		END { if (tty && n) printf "\r%-90s\r", "" }'
	if [ ! -x "$out" ]; then
		cat "$log"
		rm -f "$log"
		return 1
	fi
	rm -f "$log"
}
