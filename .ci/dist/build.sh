#!/bin/bash
# Makes what is handed out, into bin/dist: a Debian package for each linux that is asked for, one program for every other
# system, for each a list of what is in it, and the licences. Sources that are the same make the same bytes, wherever they lie.
#   .ci/dist/build.sh linux/amd64 linux/arm64
set -euo pipefail
cd "$(dirname "$0")/../.."
export LC_ALL=C TZ=UTC
umask 022

moment=$(git log -1 --format=%cd --date=unix)
hash=$(git rev-parse HEAD)
written=$(date -u -d "@$moment" +%Y%m%d%H%M%S)
version=$(git describe --tags --abbrev=0 --match 'v[0-9]*' 2>/dev/null || echo v0.0.0)
if [ "$(git rev-parse -q --verify "$version^{commit}" || true)" != "$hash" ]; then
	version=$version+$written.${hash:0:12}
fi
[ -z "$(git status --porcelain)" ] || version=$version.changed
VERSION=${version#v}
export SOURCE_DATE_EPOCH=$moment

out=bin/dist
rm -rf "$out"
mkdir -p "$out"

# program SYSTEM MACHINE FILE
program() {
	CGO_ENABLED=0 GOOS=$1 GOARCH=$2 GOAMD64=v1 GOARM64=v8.0 GOFLAGS= go build -trimpath -buildvcs=false \
		-ldflags "-s -w -buildid= -X arctally/cmd/internal/manual.released=$VERSION" -o "$3" ./cmd/arctally
}

# contents PROGRAM LIST LICENCES
contents() {
	go run ./cmd/internal/contents -program "$1" -version "$VERSION" -moment "$(date -u -d "@$moment" +%FT%TZ)" -list "$2" -licences "$3"
}

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# The pages of the manual are made by the program itself, as this machine runs it.
program "$(go env GOHOSTOS)" "$(go env GOHOSTARCH)" "$work/here"
"$work/here" manual "$work/beside" --date "$(date -u -d "@$moment" +%F)" >/dev/null
gzip -9n "$work"/beside/man/*

for target in "$@"; do
	system=${target%/*} machine=${target#*/}
	name=arctally_${VERSION}_${system}_$machine
	echo "$name"
	made=$work/$system-$machine
	mkdir "$made"
	program "$system" "$machine" "$made/arctally"
	contents "$made/arctally" "$made/contents.cdx.json" "$made/copyright"
	cp "$made/contents.cdx.json" "$out/$name.cdx.json"
	cp "$made/copyright" "$out/$name.licences.txt"
	case $system in
	windows) cp "$made/arctally" "$out/$name.exe" ;;
	linux)
		cp -r "$work"/beside/* "$made/"
		printf 'arctally (%s) unstable; urgency=medium\n\n  * Made of the sources of %s.\n\n -- The arctally developers <arctally@localhost>  %s\n' \
			"$VERSION" "$hash" "$(date -u -d "@$moment" '+%a, %d %b %Y %T +0000')" | gzip -9n >"$made/changelog.gz"
		for script in postinst prerm; do
			{ printf '#!/bin/sh\nset -e\n' && cat .ci/dist/recording.sh ".ci/dist/$script"; } >"$made/$script"
		done
		find "$made" -exec touch -h -d "@$moment" {} +
		sed "s|@MADE@|$made|; s|@VERSION@|$VERSION|; s|@ARCH@|$machine|" .ci/dist/nfpm.yaml >"$made/nfpm.yaml"
		said=$(go tool -modfile=.ci/dist.mod nfpm package -f "$made/nfpm.yaml" -p deb -t "$out/arctally_${VERSION}_$machine.deb" 2>&1) ||
			{ echo "$said" >&2 && exit 1; }
		;;
	*) cp "$made/arctally" "$out/$name" ;;
	esac
done
(cd "$out" && sha256sum -- * >SHA256SUMS)
