#!/bin/bash
# What the program takes on an emulated arm64: sizes, time to start, time and memory of the demo. Debian's qemu-user runs the
# program instruction by instruction, so times are many times those of a real machine; sizes are the same.
set -euo pipefail
cd "$(dirname "$0")/../.."

for tool in qemu-aarch64-static dpkg-deb /usr/bin/time; do
	command -v "$tool" >/dev/null || { echo "not tried: there is no $tool here (apt-get install qemu-user-static time)"; exit 1; }
done
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
export HOME=$work XDG_CACHE_HOME=$work/cache XDG_CONFIG_HOME=$work/config

measured() { # NAME STATUS COMMAND...
	name=$1 wanted=$2 status=0
	shift 2
	/usr/bin/time -q -o "$work/took" -f '%e %M %U' "$@" >"$work/said" 2>&1 || status=$?
	[ "$status" = "$wanted" ] || { cat "$work/said" && echo "$name: it ended with $status" && exit 1; }
	read -r wall memory processor <"$work/took"
	printf '  %-34s %7.2f s, %7.2f s of processor, %6.1f MiB\n' "$name" "$wall" "$processor" "$(awk "BEGIN { print $memory / 1024 }")"
}

for machine in arm64 amd64; do
	package=$(echo bin/dist/arctally_*_"$machine".deb)
	[ -e "$package" ] || { echo "there is no package for $machine: run make dist first"; exit 1; }
	dpkg-deb -x "$package" "$work/$machine"
	program=("$work/$machine/usr/bin/arctally")
	[ "$machine" = "$(dpkg --print-architecture)" ] || program=(qemu-aarch64-static "${program[@]}")
	echo "$machine: package $(($(stat -c %s "$package") / 1024)) KiB, program $(($(stat -c %s "$work/$machine/usr/bin/arctally") / 1024)) KiB, $("${program[@]}" --version)"
	measured "start (--version)" 0 "${program[@]}" --version
	measured "plan of a job" 0 "${program[@]}" plan testdata/job/demo/job.yaml
	measured "demo, one layer at 20 s in a second" 3 "${program[@]}" demo --layers 1 --speed 20 -o "$work/$machine.arctally" --report "$work/$machine.html"
	measured "passes of that record" 3 "${program[@]}" passes "$work/$machine.arctally"
	measured "its weld record, a PDF" 3 "${program[@]}" report "$work/$machine.arctally" -o "$work/$machine.pdf"
done
