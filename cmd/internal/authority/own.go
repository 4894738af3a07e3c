package authority

import (
	"crypto/tls"
	"os"
	"time"
)

// Own is a certificate that somebody else gave to this machine.
type Own struct{ certificate *tls.Certificate }

// ReadOwn reads a certificate, with those that vouch for it behind it, and its key.
func ReadOwn(certificate, key string, now time.Time) (*Own, error) {
	chain, err := readCertificates(certificate)
	if err != nil {
		return nil, err
	}
	private, err := readKey(key)
	if err != nil {
		return nil, err
	}
	if err := holds(certificate, chain[0].NotBefore, chain[0].NotAfter, now); err != nil {
		return nil, err
	}
	pair := &tls.Certificate{PrivateKey: private, Leaf: chain[0]}
	for _, c := range chain {
		pair.Certificate = append(pair.Certificate, c.Raw)
	}
	if !belong(certificate, key) {
		return nil, &Error{File: key, Reason: "it is not the key of " + certificate, Next: "give the key and the certificate that were made together"}
	}
	return &Own{pair}, nil
}

// belong tells whether two files are a certificate and its key.
func belong(certificate, key string) bool {
	c, err := os.ReadFile(certificate)
	if err != nil {
		return false
	}
	k, err := os.ReadFile(key)
	if err != nil {
		return false
	}
	_, err = tls.X509KeyPair(c, k)
	return err == nil
}

func holds(file string, from, until, now time.Time) error {
	switch {
	case now.After(until):
		return &Error{File: file, Reason: "the certificate ran out on " + until.UTC().Format(time.DateOnly), Next: "have another one given to this machine"}
	case now.Before(from):
		return &Error{File: file, Reason: "the certificate holds from " + from.UTC().Format(time.DateOnly) + " on", Next: "set the clock of this machine"}
	}
	return nil
}

// Config is how the machine speaks TLS.
func (o *Own) Config() *tls.Config {
	return config(func(*tls.ClientHelloInfo) (*tls.Certificate, error) { return o.certificate, nil })
}

// Names tells whether the machine is called that, in figures or letters.
func (o *Own) Names(host string) bool { return o.certificate.Leaf.VerifyHostname(host) == nil }
