package authority

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/tls"
	"crypto/x509"
	"encoding/asn1"
	"errors"
	"io/fs"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func shop() Names {
	return Names{
		Machine: "shop-pc", Hosts: []string{"shop-pc", "shop-pc.local", "welder.example"},
		Addresses: []netip.Prefix{netip.MustParsePrefix("192.0.2.20/24"), netip.MustParsePrefix("10.1.2.3/8"), netip.MustParsePrefix("fd00:1:2:3::20/64")},
	}
}

func open(t *testing.T) (*Authority, string) {
	t.Helper()
	folder := filepath.Join(t.TempDir(), "keys")
	a, err := Open(folder, shop(), false, noon)
	require.NoError(t, err)
	require.True(t, a.Made)
	return a, folder
}

func (a *Authority) pool() *x509.CertPool {
	pool := x509.NewCertPool()
	pool.AddCert(a.certificate)
	return pool
}

func TestOpen_IsMadeOnceAndForItsOwnerAlone(t *testing.T) {
	a, folder := open(t)
	again, err := Open(folder, Names{Machine: "other"}, false, noon.Add(time.Hour))
	require.NoError(t, err)
	assert.False(t, again.Made)
	assert.Equal(t, a.Fingerprint(), again.Fingerprint())
	assert.Regexp(t, `^([0-9A-F]{2}:){31}[0-9A-F]{2}$`, a.Fingerprint())
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, entries, 2, "nothing is left beside them")
	for _, e := range entries {
		info, err := e.Info()
		require.NoError(t, err)
		assert.Equal(t, fs.FileMode(0o600), info.Mode().Perm(), e.Name())
	}
	renewed, err := Open(folder, shop(), true, noon)
	require.NoError(t, err)
	assert.True(t, renewed.Made)
	assert.NotEqual(t, a.Fingerprint(), renewed.Fingerprint())
	for _, at := range []time.Duration{life - leafLife + time.Hour, 2 * life} {
		late, err := Open(folder, shop(), false, noon.Add(at))
		require.NoError(t, err)
		assert.True(t, late.Made, "one that runs out before its next leaf is made anew")
		_, err = Open(folder, shop(), true, noon)
		require.NoError(t, err)
	}
}

func TestOpen_RefusesWhatIsNotItsOwn(t *testing.T) {
	var wrong *Error
	for name, spoil := range map[string]func(folder string) error{
		"may be read by others": func(f string) error { return os.Chmod(filepath.Join(f, keyFile), 0o640) },
		"holds no key":          func(f string) error { return os.WriteFile(filepath.Join(f, keyFile), []byte("x"), 0o600) },
		"holds no certificate":  func(f string) error { return os.WriteFile(filepath.Join(f, certificateFile), nil, 0o600) },
		"not the certificate of the key": func(f string) error {
			other, _ := open(t)
			return put(filepath.Join(f, certificateFile), certificateBlock, other.certificate.Raw)
		},
	} {
		_, folder := open(t)
		require.NoError(t, spoil(folder))
		_, err := Open(folder, shop(), false, noon)
		require.ErrorContains(t, err, name)
		require.ErrorAs(t, err, &wrong)
		assert.NotEmpty(t, wrong.Hint())
	}
}

// The form of both certificates, as browsers want it.
func TestLeaf_IsAsBrowsersWantIt(t *testing.T) {
	a, _ := open(t)
	l, err := a.leaf(shop(), nil, noon)
	require.NoError(t, err)
	leaf := l.Leaf
	assert.LessOrEqual(t, leaf.NotAfter.Sub(leaf.NotBefore), 397*24*time.Hour)
	assert.Equal(t, []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}, leaf.ExtKeyUsage)
	assert.Equal(t, x509.KeyUsageDigitalSignature, leaf.KeyUsage)
	for _, c := range []*x509.Certificate{leaf, a.certificate} {
		assert.Equal(t, elliptic.P256(), c.PublicKey.(*ecdsa.PublicKey).Curve)
		assert.Equal(t, x509.ECDSAWithSHA256, c.SignatureAlgorithm)
		assert.Equal(t, 2, critical(c, asn1.ObjectIdentifier{2, 5, 29, 19}), "basic constraints are there, and critical")
		assert.GreaterOrEqual(t, c.SerialNumber.BitLen(), 64)
		assert.True(t, c.BasicConstraintsValid)
	}
	assert.True(t, a.certificate.IsCA && a.certificate.MaxPathLenZero)
	assert.False(t, leaf.IsCA)
	assert.Equal(t, 2, critical(a.certificate, asn1.ObjectIdentifier{2, 5, 29, 30}), "name constraints are there, and critical")
	for _, name := range []string{"shop-pc", "shop-pc.local", "welder.example", "192.0.2.20", "10.1.2.3", "fd00:1:2:3::20", "127.0.0.1"} {
		_, err := leaf.Verify(x509.VerifyOptions{DNSName: name, Roots: a.pool(), CurrentTime: noon})
		require.NoError(t, err, name)
	}
}

// critical is 0 where an extension is missing, 1 where it is not critical, 2 where it is.
func critical(c *x509.Certificate, id asn1.ObjectIdentifier) int {
	for _, e := range c.Extensions {
		if e.Id.Equal(id) {
			if e.Critical {
				return 2
			}
			return 1
		}
	}
	return 0
}

// Whoever stole the authority could stand in for this machine, and for no other place: a
// leaf is made here past the checks of this room, and browsers' rules refuse it.
func TestAuthority_VouchesForNoOtherPlace(t *testing.T) {
	a, _ := open(t)
	thief := &Authority{certificate: a.certificate, key: a.key}
	for name, allowed := range map[string]bool{
		"shop-pc.local": true, "192.0.2.77": true, "10.1.2.3": true, "other.local": true,
		"bank.example": false, "shop-pc.example": false, "notlocal": false, "192.0.3.20": false, "10.1.2.4": false, "8.8.8.8": false, "fd00:1:2:4::20": false, "2001:db8::1": false,
	} {
		wide := *a.certificate
		_, all4, _ := net.ParseCIDR("0.0.0.0/0")
		_, all6, _ := net.ParseCIDR("::/0")
		wide.PermittedIPRanges, wide.PermittedDNSDomains = []*net.IPNet{all4, all6}, []string{"example", "local", "notlocal", "shop-pc"}
		thief.certificate = &wide
		names := Names{Machine: "x", Hosts: []string{name}}
		if ip, err := netip.ParseAddr(name); err == nil {
			names = Names{Machine: "x", Addresses: []netip.Prefix{netip.PrefixFrom(ip, ip.BitLen())}}
		}
		l, err := thief.leaf(names, nil, noon)
		require.NoError(t, err)
		_, err = l.Leaf.Verify(x509.VerifyOptions{DNSName: name, Roots: a.pool(), CurrentTime: noon})
		if allowed {
			require.NoError(t, err, name)
			continue
		}
		var invalid x509.CertificateInvalidError
		require.ErrorAs(t, err, &invalid, name)
		assert.Equal(t, x509.CANotAuthorizedForThisName, invalid.Reason, name)
	}
}

func TestLeaves_AreRenewedBeforeTheyRunOutAndWhereTheMachineMoves(t *testing.T) {
	a, _ := open(t)
	now, names := noon, shop()
	leaves, err := a.Leaves(func() Names { return names }, func() time.Time { return now })
	require.NoError(t, err)
	get := func(at string) *x509.Certificate {
		c, err := leaves.get(net.ParseIP(at))
		require.NoError(t, err)
		return c.Leaf
	}
	first := get("192.0.2.20")
	assert.Same(t, first, get("192.0.2.20"))
	now = noon.Add(leafLife - leafLeast - time.Second)
	assert.Same(t, first, get("192.0.2.20"))
	now = noon.Add(leafLife - leafLeast)
	second := get("192.0.2.20")
	assert.NotEqual(t, first.SerialNumber, second.SerialNumber)
	assert.True(t, second.NotAfter.After(now.Add(leafLeast)))
	third := get("192.0.2.99") // the network gave it another address
	require.NoError(t, third.VerifyHostname("192.0.2.99"))
	assert.Same(t, third, get("203.0.113.9"), "one that the authority cannot vouch for costs no leaf a request")
	now = noon.Add(-48 * time.Hour) // somebody set the clock back
	assert.True(t, get("").NotBefore.Before(now))
	assert.True(t, leaves.Names("shop-pc.local"))
	assert.False(t, leaves.Names("elsewhere.example"))
}

func TestConfig_SpeaksNothingOld(t *testing.T) {
	a, _ := open(t)
	leaves, err := a.Leaves(shop, func() time.Time { return time.Now() })
	require.NoError(t, err)
	shake := func(client *tls.Config) (*tls.ConnectionState, error) {
		near, far := net.Pipe()
		defer func() { require.NoError(t, near.Close()) }()
		go func() {
			_ = tls.Server(far, leaves.Config()).Handshake()
			_ = far.Close()
		}()
		client.ServerName, client.InsecureSkipVerify = "shop-pc.local", true //nolint:gosec // who it is, is not the matter here
		c := tls.Client(near, client)
		err := c.HandshakeContext(t.Context())
		state := c.ConnectionState()
		return &state, err
	}
	for _, old := range []uint16{tls.VersionTLS10, tls.VersionTLS11} {
		_, err := shake(&tls.Config{MinVersion: old, MaxVersion: old})
		require.Error(t, err)
	}
	state, err := shake(&tls.Config{MaxVersion: tls.VersionTLS12})
	require.NoError(t, err)
	assert.Contains(t, tls.CipherSuiteName(state.CipherSuite), "ECDHE")
	_, err = shake(&tls.Config{MaxVersion: tls.VersionTLS12, CipherSuites: []uint16{tls.TLS_ECDHE_ECDSA_WITH_AES_128_CBC_SHA}})
	require.Error(t, err)
	state, err = shake(&tls.Config{})
	require.NoError(t, err)
	assert.Equal(t, uint16(tls.VersionTLS13), state.Version)
}

func TestOwn_IsReadWithItsKey(t *testing.T) {
	a, folder := open(t)
	certificate, key := filepath.Join(folder, certificateFile), filepath.Join(folder, keyFile)
	own, err := ReadOwn(certificate, key, noon)
	require.NoError(t, err)
	shown, err := own.Config().GetCertificate(nil)
	require.NoError(t, err)
	assert.Equal(t, a.certificate.Raw, shown.Certificate[0])
	assert.False(t, own.Names("elsewhere.example"))

	_, err = ReadOwn(certificate, key, noon.Add(2*life))
	require.ErrorContains(t, err, "ran out on 2036")
	_, err = ReadOwn(certificate, key, noon.Add(-48*time.Hour))
	require.ErrorContains(t, err, "holds from")
	_, err = ReadOwn(filepath.Join(folder, "none"), key, noon)
	require.True(t, errors.Is(err, fs.ErrNotExist))
	other, _ := open(t)
	require.NoError(t, other.write(filepath.Join(folder, "other")))
	_, err = ReadOwn(certificate, filepath.Join(folder, "other", keyFile), noon)
	require.ErrorContains(t, err, "is not the key of")
	require.NoError(t, os.Chmod(key, 0o644))
	_, err = ReadOwn(certificate, key, noon)
	require.ErrorContains(t, err, "may be read by others")
	var told *Error
	require.ErrorAs(t, err, &told)
	assert.False(t, strings.Contains(told.Hint(), "new-authority"))
}

func TestOf_TellsNamesFromAddresses(t *testing.T) {
	n := Of([]string{"Welder.Example.", "192.0.2.7"})
	assert.Contains(t, n.Hosts, "welder.example")
	assert.Contains(t, n.Addresses, netip.MustParsePrefix("192.0.2.7/32"))
	networks := (&Names{Addresses: []netip.Prefix{netip.MustParsePrefix("10.1.2.3/8"), netip.MustParsePrefix("192.0.2.20/24"), netip.MustParsePrefix("192.0.2.30/24")}}).networks()
	var said []string
	for _, one := range networks {
		said = append(said, one.String())
	}
	assert.Equal(t, []string{"127.0.0.0/8", "::1/128", "10.1.2.3/32", "192.0.2.0/24"}, said)
}
