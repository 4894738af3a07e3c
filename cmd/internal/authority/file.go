package authority

import (
	"crypto"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"arctally/acquire/system"
)

// keyRights are those of a file that its owner alone may read.
const keyRights = 0o600

const (
	keyBlock         = "PRIVATE KEY"
	certificateBlock = "CERTIFICATE"
)

// write puts the authority into a folder, key first: a certificate without its key is told
// when it is read, and another one is made by hand.
func (a *Authority) write(folder string) error {
	der, err := x509.MarshalPKCS8PrivateKey(a.key)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	return errors.Join(
		put(filepath.Join(folder, keyFile), keyBlock, der),
		put(filepath.Join(folder, certificateFile), certificateBlock, a.certificate.Raw))
}

// put writes a file whole or not at all, for its owner alone.
func put(path, kind string, der []byte) (err error) {
	draft, err := os.CreateTemp(filepath.Dir(path), "new-*") // with rights 0600
	if err != nil {
		return err
	}
	_, err = draft.Write(pem.EncodeToMemory(&pem.Block{Type: kind, Bytes: der}))
	if err = errors.Join(err, draft.Sync(), draft.Close()); err == nil {
		err = os.Rename(draft.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(draft.Name()))
	}
	return nil
}

// readKey reads a private key that its owner alone may read.
func readKey(path string) (crypto.PrivateKey, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if system.Rights(info)&^keyRights != 0 {
		return nil, &Error{
			File: path, Reason: "the key may be read by others",
			Next: "set its rights to 0600, and make another one where somebody may have read it",
		}
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	for block, rest := pem.Decode(text); block != nil; block, rest = pem.Decode(rest) {
		if key := parseKey(block); key != nil {
			return key, nil
		}
	}
	return nil, &Error{File: path, Reason: "it holds no key"}
}

// parseKey reads a key in the three forms in which keys are kept; nil is none.
func parseKey(block *pem.Block) crypto.PrivateKey {
	switch block.Type {
	case keyBlock:
		if key, err := x509.ParsePKCS8PrivateKey(block.Bytes); err == nil {
			return key
		}
	case "EC PRIVATE KEY":
		if key, err := x509.ParseECPrivateKey(block.Bytes); err == nil {
			return key
		}
	case "RSA PRIVATE KEY":
		if key, err := x509.ParsePKCS1PrivateKey(block.Bytes); err == nil {
			return key
		}
	}
	return nil
}

// readCertificates reads a chain of certificates, the machine's own first.
func readCertificates(path string) (chain []*x509.Certificate, err error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	for block, rest := pem.Decode(text); block != nil; block, rest = pem.Decode(rest) {
		if block.Type != certificateBlock {
			continue
		}
		certificate, err := x509.ParseCertificate(block.Bytes)
		if err != nil {
			return nil, &Error{File: path, Reason: fmt.Sprintf("it holds a certificate that cannot be read: %v", err)}
		}
		chain = append(chain, certificate)
	}
	if chain == nil {
		return nil, &Error{File: path, Reason: "it holds no certificate"}
	}
	return chain, nil
}
