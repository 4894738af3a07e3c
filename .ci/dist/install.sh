#!/bin/bash
# Installs what bin/dist has on a Debian of its own, boots that with systemd, records, upgrades, removes and purges there, and
# says line by line what held. It takes root, mmdebstrap and systemd-container. Packages come from where apt of this machine
# takes them. BASE=FILE.tar keeps that Debian for the next time.
set -euo pipefail
cd "$(dirname "$0")/../.."

for tool in mmdebstrap systemd-nspawn dpkg-deb; do
	command -v "$tool" >/dev/null || { echo "not tried: there is no $tool here (apt-get install mmdebstrap systemd-container)"; exit 1; }
done
[ "$(id -u)" = 0 ] || { echo "not tried: a Debian of its own takes root"; exit 1; }

work=$(mktemp -d /var/tmp/arctally-install-XXXXXX)
trap 'rm -rf "$work"' EXIT
root=$work/root story=$work/root/story
base=${BASE:-$work/base.tar}
machine=$(dpkg --print-architecture)
package=$(echo bin/dist/arctally_*_"$machine".deb)
[ -e "$package" ] || { echo "there is no package for $machine: run make dist first"; exit 1; }

if [ ! -e "$base" ]; then
	shopt -s nullglob
	sources=(/etc/apt/sources.list /etc/apt/sources.list.d/*.list /etc/apt/sources.list.d/*.sources)
	shopt -u nullglob
	for k in "${!sources[@]}"; do [ -s "${sources[k]}" ] || unset "sources[k]"; done
	(. /etc/os-release && mmdebstrap --quiet --variant=minbase --include=systemd,systemd-sysv,udev,dbus,curl "$VERSION_CODENAME" "$base" "${sources[@]}")
fi
mkdir -p "$root"
tar -xf "$base" -C "$root"
mkdir "$story"
cp .ci/dist/story-*.sh "$story"
cp "$package" "$story/first.deb"
CGO_ENABLED=0 go build -o "$story/probe" ./.ci/dist/probe
mknod -m 666 "$story/port" c 4 64     # the first serial port of this machine, if it has one
mknod -m 666 "$story/no-port" c 10 200 # a tunnel for networks, which anybody may open who gets at it

# A later version: the same program under a higher number, with another time, which makes it another build.
dpkg-deb -R "$package" "$work/later"
sed -i 's/^Version: .*/&.later/' "$work/later/DEBIAN/control"
touch "$work/later/usr/bin/arctally"
dpkg-deb -Zgzip -b "$work/later" "$story/later.deb" >/dev/null

inside() { systemd-nspawn --quiet --directory "$root" --private-network --register=no --keep-unit --setenv=LC_ALL=C "$@"; }

failed=0
run() { # NAME COMMAND...
	echo "$1:"
	shift
	"$@" >"$work/said" 2>&1 </dev/null || true
	cat "$story/held" 2>/dev/null || true
	if [ ! -e "$story/done" ]; then
		failed=1
		echo "it did not come to its end:" && tail -n 40 "$work/said"
		tail -n 60 "$story/said" 2>/dev/null || true
	fi
	rm -f "$story/held" "$story/done"
}

run "without a service manager, as in a container" inside /bin/bash /story/story-plain.sh
cat >"$root/etc/systemd/system/story.service" <<'UNIT'
[Unit]
After=multi-user.target
SuccessAction=poweroff-force
FailureAction=poweroff-force
[Service]
Type=oneshot
ExecStart=/bin/bash /story/story-booted.sh
StandardOutput=file:/story/said
StandardError=file:/story/said
TimeoutStartSec=600
UNIT
mkdir -p "$root/etc/systemd/system/default.target.wants"
ln -s ../story.service "$root/etc/systemd/system/default.target.wants/story.service"
# One tree of control groups, and leave to load what keeps devices shut, as on a machine of its own.
export SYSTEMD_NSPAWN_UNIFIED_HIERARCHY=1
run "booted by systemd" timeout 900 systemd-nspawn --system-call-filter=bpf --capability=CAP_BPF,CAP_NET_ADMIN --quiet --directory "$root" --private-network --register=no --keep-unit --boot
exit $failed
