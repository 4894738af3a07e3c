#!/bin/bash
# The package where no service manager runs: installed, used, upgraded, removed and purged. See install.sh.
set -euo pipefail
cd /tmp
held() { echo "  $*" >>/story/held; }
as_user() { (cd /var/lib/arctally && runuser -u arctally -- env HOME=/var/lib/arctally "$@"); }

dpkg -i /story/first.deb
id arctally | grep -q dialout
held "installed; its user may use serial ports"
arctally --version | grep -qF "$(dpkg-query -W -f '${Version}' arctally)"
held "$(arctally --version)"
install -d -o arctally -g arctally -m 750 /var/lib/arctally /var/lib/arctally/jobs
status=0
as_user arctally demo -o /var/lib/arctally/jobs/demo.arctally --report /var/lib/arctally/demo.html --speed 600 --layers 1 || status=$?
[ $status = 3 ]
as_user arctally verify jobs/demo.arctally
held "the demo runs as that user, and its record is whole"
for made in man/man1/arctally.1.gz man/man1/arctally-serve.1.gz bash-completion/completions/arctally doc/arctally/copyright doc/arctally/contents.cdx.json; do
	[ -s "/usr/share/$made" ] || { [[ $made != bash* ]] && grep -rqs path-exclude /etc/dpkg/dpkg.cfg.d; }
done
[ "$(stat -c %a /usr/share/man/man1 2>/dev/null || echo 755)" = 755 ]
sum=$(sha256sum /var/lib/arctally/jobs/demo.arctally)
echo 'ARCTALLY_FLAGS=--host tablet' >/etc/default/arctally
dpkg -i --force-confold /story/later.deb
[ "$(sha256sum /var/lib/arctally/jobs/demo.arctally)" = "$sum" ]
grep -q tablet /etc/default/arctally
held "upgraded: the record is the same to the byte, the settings stay"
dpkg -r arctally
[ ! -e /usr/bin/arctally ]
[ "$(sha256sum /var/lib/arctally/jobs/demo.arctally)" = "$sum" ]
held "removed: the record is the same to the byte"
dpkg -P arctally | tee purged
[ "$(sha256sum /var/lib/arctally/jobs/demo.arctally)" = "$sum" ]
grep -q 'records and keys stay in /var/lib/arctally' purged
[ ! -e /etc/default/arctally ]
held "purged: the record is the same to the byte, and that it stays is said"
rm -rf /var/lib/arctally
touch /story/done
