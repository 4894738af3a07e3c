#!/bin/bash
# Makes what is handed out twice, from two clones at two paths of different length, and holds it together byte for byte. The
# packages of the pages are fetched into each of them, and the pages made anew.
#   .ci/dist/same.sh linux/amd64 linux/arm64
set -euo pipefail
cd "$(dirname "$0")/../.."

work=$(mktemp -d /var/tmp/arctally-same-XXXXXX)
trap 'rm -rf "$work"' EXIT
clones=("$work/a" "$work/another place/with a longer name")
for clone in "${clones[@]}"; do
	mkdir -p "$(dirname "$clone")"
	git clone --quiet . "$clone"
done
for clone in "${clones[@]}"; do
	make -C "$clone" --no-print-directory dist DIST_SYSTEMS="$*" >"$work/said" 2>&1 || { tail -n 20 "$work/said"; exit 1; }
	(cd "$clone" && sha256sum bin/dist/* report/page/dist/*) >"$work/sums.$(basename "$clone" | cut -c1)"
done
cat "$work/sums.a"
diff "$work/sums.a" "$work/sums.w" || { echo "two clones made different bytes"; exit 1; }
echo "two clones at two paths made the same bytes"
