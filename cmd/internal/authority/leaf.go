package authority

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"fmt"
	"net"
	"strings"
	"sync"
	"time"
)

// Leaves are the certificates that the machine shows, one after the other.
type Leaves struct {
	authority *Authority
	now       func() time.Time
	addresses func() Names

	mutex   sync.Mutex
	present *tls.Certificate
}

// Leaves has the authority vouch for the machine, whose names are asked for anew each
// time: an address may have come meanwhile.
func (a *Authority) Leaves(names func() Names, now func() time.Time) (*Leaves, error) {
	l := &Leaves{authority: a, now: now, addresses: names}
	_, err := l.get(nil)
	return l, err
}

// Config is how the machine speaks TLS. Nothing older than 1.2 is spoken; of 1.2 only what
// keeps the past secret where a key is lost later.
func (l *Leaves) Config() *tls.Config {
	return config(func(hello *tls.ClientHelloInfo) (*tls.Certificate, error) {
		if at, ok := hello.Conn.LocalAddr().(*net.TCPAddr); ok {
			return l.get(at.IP)
		}
		return l.get(nil)
	})
}

func config(get func(*tls.ClientHelloInfo) (*tls.Certificate, error)) *tls.Config {
	return &tls.Config{
		MinVersion:     tls.VersionTLS12,
		GetCertificate: get,
		CipherSuites: []uint16{ // of 1.2; those of 1.3 are all good
			tls.TLS_ECDHE_ECDSA_WITH_AES_128_GCM_SHA256, tls.TLS_ECDHE_ECDSA_WITH_AES_256_GCM_SHA384, tls.TLS_ECDHE_ECDSA_WITH_CHACHA20_POLY1305_SHA256,
			tls.TLS_ECDHE_RSA_WITH_AES_128_GCM_SHA256, tls.TLS_ECDHE_RSA_WITH_AES_256_GCM_SHA384, tls.TLS_ECDHE_RSA_WITH_CHACHA20_POLY1305_SHA256,
		},
	}
}

// get returns a leaf that holds for a while yet, and for the address at which the machine
// was found, where the authority can vouch for that one.
func (l *Leaves) get(at net.IP) (*tls.Certificate, error) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	now := l.now()
	if p := l.present; p != nil && p.Leaf.NotAfter.Sub(now) > leafLeast && !now.Before(p.Leaf.NotBefore) && (at == nil || !l.authority.Covers(at) || has(p.Leaf, at)) {
		return p, nil
	}
	fresh, err := l.authority.leaf(l.addresses(), at, now)
	if err != nil {
		return nil, fmt.Errorf("make a certificate for this machine: %w", err)
	}
	l.present = fresh
	return fresh, nil
}

func has(leaf *x509.Certificate, at net.IP) bool {
	for _, ip := range leaf.IPAddresses {
		if ip.Equal(at) {
			return true
		}
	}
	return false
}

// leaf makes a certificate for all that the machine is called and the authority can vouch for.
func (a *Authority) leaf(names Names, at net.IP, now time.Time) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	number, err := serial()
	if err != nil {
		return nil, err
	}
	form := &x509.Certificate{
		SerialNumber: number, Subject: pkix.Name{CommonName: names.Machine},
		NotBefore: now.Add(-backdated), NotAfter: earlier(now.Add(leafLife), a.certificate.NotAfter),
		BasicConstraintsValid: true, // critical, and no authority
		KeyUsage:              x509.KeyUsageDigitalSignature, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1), net.IPv6loopback}, DNSNames: []string{"localhost"},
	}
	for _, host := range names.Hosts {
		if a.coversName(host) && !strings.ContainsAny(host, " _") {
			form.DNSNames = append(form.DNSNames, host)
		}
	}
	for _, p := range names.Addresses {
		if ip := net.IP(p.Addr().AsSlice()); a.Covers(ip) {
			form.IPAddresses = append(form.IPAddresses, ip)
		}
	}
	if at != nil && a.Covers(at) {
		form.IPAddresses = append(form.IPAddresses, at)
	}
	der, err := x509.CreateCertificate(rand.Reader, form, a.certificate, key.Public(), a.key)
	if err != nil {
		return nil, err
	}
	parsed, err := x509.ParseCertificate(der)
	return &tls.Certificate{Certificate: [][]byte{der, a.certificate.Raw}, PrivateKey: key, Leaf: parsed}, err
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// Names tells whether the machine is called that, in figures or letters.
func (l *Leaves) Names(host string) bool {
	leaf, err := l.get(nil)
	return err == nil && leaf.Leaf.VerifyHostname(host) == nil
}
