#!/bin/bash
# What is shut in the sandbox of the service, and what must work there. See story-booted.sh.
shut() { # NAME COMMAND...: it must fail
	name=$1
	shift
	if "$@" >/dev/null 2>&1; then echo "open: $name"; else echo "shut: $name"; fi
}
works() {
	name=$1
	shift
	if "$@"; then echo "works: $name"; else echo "open: not $name"; fi
}
works "writing where the jobs are" touch /var/lib/arctally/jobs/probe
works "writing what can be worked out again" touch /var/cache/arctally/probe
works "removing it" rm /var/lib/arctally/jobs/probe /var/cache/arctally/probe
works "a pseudo-terminal" script -qec true /dev/null
works "standing back" nice -n 5 true
shut "writing in /etc" touch /etc/probe
shut "writing in /usr" touch /usr/probe
shut "writing in /var" touch /var/lib/probe /var/log/probe
shut "seeing homes" ls /root/. /home/probe
shut "setting the kernel" sh -c 'echo 1 >/proc/sys/kernel/printk'
shut "namespaces of its own" unshare -U true
shut "mounting" mount -t tmpfs none /tmp
shut "setting the clock" date -s 2000-01-01
shut "another name of the machine" hostname probe
shut "programs that become somebody else" chmod u+s "$(mktemp)"
shut "priority over others" nice -n -5 sh -c '[ "$(nice)" -lt 0 ]'
shut "seeing processes of others" test -e /proc/1/status
shut "messages of the kernel" dmesg
shut "devices that are no ports" sh -c ': <>/story/no-port'
shut "another family of networks" /story/probe vsock
shut "memory that is written and run" /story/probe run
shut "keys of the kernel" /story/probe keyring
works "the network" /story/probe inet
works "serial ports" sh -c ': <>/story/port'
echo done
