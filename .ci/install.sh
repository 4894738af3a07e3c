#!/bin/bash
# Installs packages with apt. Machines that keep themselves up to date hold its locks now and then: where one is held, this waits
# for ten minutes, and says so.
set -euo pipefail

sudo=
[ "$(id -u)" = 0 ] || sudo=sudo
longest=600 # s

# patient runs apt-get, and runs it again while another program holds a lock: apt waits by itself for the lock of the
# packages, but not for those of their lists and of what it fetches.
patient() {
	local said end=$((SECONDS + longest))
	until said=$($sudo env LC_ALL=C DEBIAN_FRONTEND=noninteractive apt-get -qq -o "DPkg::Lock::Timeout=$longest" "$@" 2>&1); do
		if [[ $said != *"Could not get lock"* || $SECONDS -ge $end ]]; then
			echo "$said" >&2
			return 1
		fi
		echo "apt is at work for another program; waiting" >&2
		sleep 5
	done
}

echo "installing $*"
patient update
patient install -y --no-install-recommends "$@"
