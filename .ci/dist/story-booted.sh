#!/bin/bash
# The package on a Debian that systemd has booted: the service is started by it, sandboxed, killed, upgraded and removed while
# it records. See install.sh.
set -euxo pipefail
cd /tmp
held() { echo "  $*" >>/story/held; }
page=http://127.0.0.1:8470/api
until_true() { # what is waited for may take its time on a busy machine
	for _ in $(seq 600); do
		if "$@"; then return 0; fi
		sleep 0.2
	done
	echo "it never came: $*" >&2
	return 1
}
front() { systemctl show -p MainPID --value arctally; }
answers() { curl -sf $page/house >house; }
stored() { curl -sf $page/recording | grep -o '"durable_samples":[0-9]*' | cut -d: -f2; }
records() { [ "$(stored || echo 0)" -gt "${1:-0}" ]; }
recorder() {
	for p in /proc/[0-9]*; do
		if tr '\0' ' ' <"$p/cmdline" 2>/dev/null | grep -q 'serve-recorder'; then basename "$p"; fi
	done
}
field() { sed -n "s/^$2:[[:space:]]*//p" "/proc/$1/status"; }

dpkg -i /story/first.deb
until_true answers
held "the service is started by $(systemctl --version | head -n 1): active, and its pages answer"
p=$(front)
[ "$(stat -c %U "/proc/$p")" = arctally ]
[ "$(field "$p" NoNewPrivs)" = 1 ]
[ "$(field "$p" Seccomp)" = 2 ]
[ "$(field "$p" CapBnd)" = 0000000000000000 ]
held "it runs as arctally, without capabilities, under a filter of system calls"
systemd-analyze verify --man=no arctally.service
systemd-analyze security --no-pager --threshold=20 arctally.service >security
held "systemd-analyze: $(tail -n 1 security | sed 's/[^ -~]//g')"

udevadm test /sys/class/mem/null >rules 2>&1 || true
grep -q 'Reading rules file: .*/70-arctally.rules' rules
if grep '70-arctally.rules:' rules; then exit 1; fi
held "udev reads the rule for serial adapters, and finds no fault in it (none was plugged in)"

# The same sandbox with another program in it, which tries what ours never does.
sed -n '1,/^ExecStart/p' /usr/lib/systemd/system/arctally.service | sed '/^ExecStart/d; s/^Restart=.*//; s/^Type=.*//' >/etc/systemd/system/probe.service
cat >>/etc/systemd/system/probe.service <<'UNIT'
Type=oneshot
ExecStart=/bin/bash /story/story-probe.sh
StandardOutput=file:/tmp/probed
StandardError=file:/tmp/probe-said
UNIT
sed '1,/^ExecStart/d; /^Restart/d; /^KillMode/d' /usr/lib/systemd/system/arctally.service >>/etc/systemd/system/probe.service
systemctl daemon-reload
systemctl start probe.service || true
cat probed probe-said
grep -q '^done$' probed
if grep '^open:' probed; then exit 1; fi
(cd / && runuser -u arctally -- bash /story/story-probe.sh) >outside
cat outside
grep '^shut:' probed | sed 's/^shut/open/' | grep -xFf - outside >alone || true
held "in its sandbox it does what it has to ($(grep -c '^works:' probed) things); refused are $(grep -c '^shut:' probed) that it never does, $(wc -l <alone) of them the same user can do outside of it:"
for needed in "namespaces of its own" "programs that become somebody else" "seeing processes of others" "memory that is written and run" "another family of networks" "devices that are no ports"; do
	grep -qF "$needed" alone
done
sed 's/^open: /    /' alone >>/story/held
# A box that is made of software stands in for a real one; everything else is as it will be.
echo 'ARCTALLY_FLAGS=--demo --speed 2' >/etc/default/arctally
systemctl restart arctally
until_true answers
job=$(sed -n 's/.*"jobs":\[{"file":"\([^"]*\)".*/\1/p' house)
curl -sf -X POST -H 'Content-Type: application/json' -d "{\"job\":\"$job\"}" $page/recording
until_true records 1000
r=$(recorder)
[ -n "$r" ]
[ "$(field "$r" Seccomp)" = 2 ]
nice() { sed 's/.*) //' "/proc/$1/stat" | cut -d' ' -f17; }
[ "$(nice "$r")" = 0 ]
[ "$(nice "$(front)")" = 10 ]
[ "$(cat "/proc/$(front)/oom_score_adj")" = 300 ]
[ "$(cat "/proc/$r/oom_score_adj")" = 0 ]
held "it records in a process of its own, before which the one with the pages stands back, as outside of a sandbox"

was=$(stored) p=$(front)
kill -KILL "$p"
restarted() { [ "$(front)" != "$p" ] && [ "$(front)" != 0 ] && answers; }
until_true restarted
[ "$(recorder)" = "$r" ]
until_true records "$((was + 20000))"
held "killed, it is started again by systemd, and finds the recording, which went on meanwhile"

dpkg -i --force-confold /story/later.deb >upgraded
grep -q 'a job is being recorded by the former version, and goes on' upgraded
[ "$(recorder)" = "$r" ]
was=$(stored)
until_true records "$((was + 20000))"
held "upgraded while it records: the recording goes on, and what to do afterwards is said"
p=$(front)
kill -KILL "$p"
until_true restarted
[ "$(recorder)" = "$r" ]
was=$(stored)
until_true records "$((was + 20000))"
held "killed after that, it is started again as the later version, and finds what the former one records"
if dpkg -r arctally 2>refused; then exit 1; fi
grep -q 'a job is being recorded: end it first' refused
[ "$(recorder)" = "$r" ]
answers
held "not removed while it records, and why is said"
systemctl stop arctally
[ -z "$(recorder)" ]
held "stopped by a person, it ends the recording first"
systemctl start arctally
until_true answers

record=$(ls /var/lib/arctally/jobs/*.arctally)
checked() { runuser -u arctally -- env HOME=/var/lib/arctally arctally verify "$record" "$@"; }
checked
sum=$(sha256sum "$record")
runuser -u arctally -- env HOME=/var/lib/arctally arctally key >key
[ "$(cat key)" = "$(runuser -u arctally -- env HOME=/var/lib/arctally arctally key)" ]
checked --signers key
held "the record is sealed with the key of the service, which its user can show"
p=$(front)
dpkg -i --force-confold /story/first.deb
restarted
until_true answers
[ "$(sha256sum "$record")" = "$sum" ]
checked
held "another version comes over the folder: the service is restarted, the record is whole and the same to the byte"

systemctl disable --now arctally
dpkg -i --force-confold /story/later.deb
[ "$(systemctl is-enabled arctally || true)" = disabled ]
held "a service that was switched off stays off over an upgrade"
dpkg -r arctally
[ ! -e /usr/lib/systemd/system/arctally.service ]
[ "$(sha256sum "$record")" = "$sum" ]
dpkg -P arctally >purged
grep -q 'records and keys stay in /var/lib/arctally' purged
[ "$(sha256sum "$record")" = "$sum" ]
[ ! -e /var/cache/arctally ]
held "removed and purged: the record is the same to the byte, and that it stays is said"
touch /story/done
