// Package authority knows by what a tablet tells this machine from another one that
// pretends to be it: a small authority of the machine's own, and the certificates that it
// gives to this machine, for TLS.
//
// Terms. The authority is a key (ECDSA on P-256) with a certificate of its own, which a
// tablet takes once and trusts from then on. It can vouch for the names and networks of
// this machine, for .local and for the machine itself, and for nothing else: whoever stole
// it could not stand in for any other place. A leaf is what the machine shows: it is made
// when the program starts, anew before it runs out, and is never written to the disk.
//
// Errors: a key that others may read, or files that are none of ours, are refused: nobody
// can tell then who vouches.
package authority

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"errors"
	"fmt"
	"io/fs"
	"math/big"
	"net"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// How long what is made here holds. Ours, no source, but for the life of a leaf: browsers
// take none that is longer than 398 days.
const (
	life      = 10 * 365 * 24 * time.Hour // of the authority
	leafLife  = 90 * 24 * time.Hour
	leafLeast = 30 * 24 * time.Hour // is left of a leaf when the next one is made
	backdated = 24 * time.Hour      // for tablets whose clock is behind
)

// The files of the authority. Its certificate may be read by anybody; here it is for its owner, as the key is.
const (
	keyFile         = "authority.key"
	certificateFile = "authority.crt"
)

// Authority vouches for this machine.
type Authority struct {
	Made        bool // just now: whoever trusted the one before has to take this one
	certificate *x509.Certificate
	key         *ecdsa.PrivateKey
}

// Open returns the authority in a folder. Where there is none, or it runs out before its
// next leaf would, it is made; renew has it made in any case.
func Open(folder string, names Names, renew bool, now time.Time) (*Authority, error) {
	a, err := read(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		renew = true
	case err != nil && !renew:
		return nil, err
	case err == nil && a.certificate.NotAfter.Before(now.Add(leafLife)):
		renew = true
	}
	if !renew {
		return a, nil
	}
	if a, err = made(names, now); err != nil {
		return nil, fmt.Errorf("make the authority of this machine: %w", err)
	}
	return a, a.write(folder)
}

// Shown is what the machine shows to whoever speaks TLS with it.
type Shown interface {
	Config() *tls.Config
	Names(host string) bool // whether it vouches for that name
}

// made makes an authority for what the machine is called, and where it is.
func made(names Names, now time.Time) (*Authority, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	number, err := serial()
	if err != nil {
		return nil, err
	}
	form := &x509.Certificate{
		SerialNumber: number, Subject: pkix.Name{CommonName: "arctally at " + names.Machine},
		NotBefore: now.Add(-backdated), NotAfter: now.Add(life),
		IsCA: true, BasicConstraintsValid: true, MaxPathLenZero: true,
		KeyUsage: x509.KeyUsageCertSign, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true, PermittedDNSDomains: names.domains(), PermittedIPRanges: names.networks(),
	}
	der, err := x509.CreateCertificate(rand.Reader, form, form, key.Public(), key)
	if err != nil {
		return nil, err
	}
	certificate, err := x509.ParseCertificate(der)
	return &Authority{Made: true, certificate: certificate, key: key}, err
}

// serial is a number that nobody can foresee.
func serial() (*big.Int, error) {
	return rand.Int(rand.Reader, new(big.Int).Lsh(big.NewInt(1), 127))
}

// Certificate is that of the authority, as a tablet takes it: DER.
func (a *Authority) Certificate() []byte { return slices.Clone(a.certificate.Raw) }

// Until is when it runs out.
func (a *Authority) Until() time.Time { return a.certificate.NotAfter }

// Fingerprint is the SHA-256 of the certificate, as tablets show it.
func (a *Authority) Fingerprint() string { return Fingerprint(a.certificate.Raw) }

// Fingerprint is the SHA-256 of a certificate, as tablets show it.
func Fingerprint(der []byte) string {
	sum := sha256.Sum256(der)
	pairs := make([]string, len(sum))
	for k, b := range sum {
		pairs[k] = fmt.Sprintf("%02X", b)
	}
	return strings.Join(pairs, ":")
}

// Covers tells whether the authority can vouch for an address.
func (a *Authority) Covers(ip net.IP) bool {
	return slices.ContainsFunc(a.certificate.PermittedIPRanges, func(n *net.IPNet) bool { return n.Contains(ip) })
}

// coversName tells whether it can vouch for a name.
func (a *Authority) coversName(name string) bool {
	return slices.ContainsFunc(a.certificate.PermittedDNSDomains, func(domain string) bool {
		return name == domain || strings.HasSuffix(name, "."+domain)
	})
}

func read(folder string) (*Authority, error) {
	key, err := readKey(filepath.Join(folder, keyFile))
	if err != nil {
		return nil, err
	}
	certificates, err := readCertificates(filepath.Join(folder, certificateFile))
	if err != nil {
		return nil, err
	}
	private, ok := key.(*ecdsa.PrivateKey)
	if !ok || len(certificates) != 1 || !private.PublicKey.Equal(certificates[0].PublicKey) || !certificates[0].IsCA {
		return nil, &Error{File: filepath.Join(folder, certificateFile), Reason: "it is not the certificate of the key beside it"}
	}
	return &Authority{certificate: certificates[0], key: private}, nil
}
