// Package stamp knows time stamps by RFC 3161: what a time-stamping service is asked, and
// what its reply shows. The service says that it saw a hash at a time; so a record whose
// head it saw was there at that time, whatever the clock of the machine said.
//
// Errors say what is wrong with the reply.
package stamp

import (
	"bytes"
	"crypto"
	"crypto/ecdsa"
	"crypto/rsa"
	_ "crypto/sha512" // for replies that are signed with it
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/asn1"
	"errors"
	"fmt"
	"math/big"
	"slices"
	"time"
)

// The names of RFC 3161, RFC 5652 and RFC 5754.
var (
	oidSHA256        = asn1.ObjectIdentifier{2, 16, 840, 1, 101, 3, 4, 2, 1}
	oidSHA384        = asn1.ObjectIdentifier{2, 16, 840, 1, 101, 3, 4, 2, 2}
	oidSHA512        = asn1.ObjectIdentifier{2, 16, 840, 1, 101, 3, 4, 2, 3}
	oidSignedData    = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 7, 2}
	oidStampInfo     = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 16, 1, 4}
	oidContentType   = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 3}
	oidMessageDigest = asn1.ObjectIdentifier{1, 2, 840, 113549, 1, 9, 4}
)

type imprint struct {
	Algorithm pkix.AlgorithmIdentifier
	Digest    []byte
}

// Request is what a service is asked about a SHA-256.
func Request(head [32]byte) ([]byte, error) {
	return asn1.Marshal(struct {
		Version     int
		Imprint     imprint
		Certificate bool // the reply is to hold that of the service
	}{1, imprint{pkix.AlgorithmIdentifier{Algorithm: oidSHA256, Parameters: asn1.NullRawValue}, head[:]}, true})
}

// Stamp is what a reply shows.
type Stamp struct {
	Head [32]byte
	At   time.Time
	By   string // the name of the service in its certificate
}

type contentInfo struct {
	Type    asn1.ObjectIdentifier
	Content asn1.RawValue `asn1:"explicit,optional,tag:0"`
}

// raw is a field that is kept as it stands.
type raw struct{ Whole asn1.RawContent }

type signedData struct {
	Version      int
	Digests      []pkix.AlgorithmIdentifier `asn1:"set"`
	Content      contentInfo
	Certificates raw          `asn1:"optional,tag:0"`
	Revoked      raw          `asn1:"optional,tag:1"`
	Signers      []signerInfo `asn1:"set"`
}

type signerInfo struct {
	Version int
	Whose   struct {
		Issuer asn1.RawValue
		Serial *big.Int
	}
	Digest     pkix.AlgorithmIdentifier
	Attributes raw `asn1:"optional,tag:0"`
	Algorithm  pkix.AlgorithmIdentifier
	Signature  []byte
}

type attribute struct {
	Type  asn1.ObjectIdentifier
	Value asn1.RawValue `asn1:"set"`
}

type stampInfo struct {
	Version int
	Policy  asn1.ObjectIdentifier
	Imprint imprint
	Serial  *big.Int
	At      time.Time `asn1:"generalized"`
}

// Verify reads a reply and holds it against the authorities that one trusts.
func Verify(reply []byte, authorities *x509.CertPool) (*Stamp, error) {
	signed, err := signedIn(reply)
	if err != nil {
		return nil, err
	}
	var content []byte
	if _, err := asn1.Unmarshal(signed.Content.Content.Bytes, &content); err != nil || !signed.Content.Type.Equal(oidStampInfo) {
		return nil, errors.New("the reply holds no time stamp")
	}
	var info stampInfo
	if _, err := asn1.Unmarshal(content, &info); err != nil {
		return nil, fmt.Errorf("the time stamp cannot be read: %w", err)
	}
	if !info.Imprint.Algorithm.Algorithm.Equal(oidSHA256) || len(info.Imprint.Digest) != len(Stamp{}.Head) {
		return nil, errors.New("the time stamp is not of a SHA-256")
	}
	service, others, err := signed.certificates()
	if err != nil {
		return nil, err
	}
	if err := signed.Signers[0].verify(content, service); err != nil {
		return nil, err
	}
	if !isForStamps(service) {
		return nil, errors.New("the certificate of the signer is not one for time stamps alone")
	}
	_, err = service.Verify(x509.VerifyOptions{
		Roots: authorities, Intermediates: others, CurrentTime: info.At, KeyUsages: []x509.ExtKeyUsage{x509.ExtKeyUsageTimeStamping},
	})
	if err != nil {
		return nil, fmt.Errorf("the service of the time stamp is not trusted: %w", err)
	}
	return &Stamp{[32]byte(info.Imprint.Digest), info.At.UTC(), service.Subject.CommonName}, nil
}

// oidUsage names the part of a certificate that says what it is for, from RFC 5280, 4.2.1.12.
var oidUsage = asn1.ObjectIdentifier{2, 5, 29, 37}

// isForStamps tells whether a certificate is for time stamps and for nothing else, and says
// so in a way that nobody may pass over, as RFC 3161, 2.3, has it. To crypto/x509 one that
// does not say what it is for is good for everything: that of a web server would do.
func isForStamps(c *x509.Certificate) bool {
	says := slices.ContainsFunc(c.Extensions, func(e pkix.Extension) bool { return e.Id.Equal(oidUsage) && e.Critical })
	return says && slices.Equal(c.ExtKeyUsage, []x509.ExtKeyUsage{x509.ExtKeyUsageTimeStamping}) && len(c.UnknownExtKeyUsage) == 0
}

// signedIn takes the signed data out of a reply.
func signedIn(reply []byte) (*signedData, error) {
	var r struct {
		Status struct{ Status int }
		Token  contentInfo `asn1:"optional"`
	}
	if rest, err := asn1.Unmarshal(reply, &r); err != nil || len(rest) > 0 {
		return nil, errors.New("no reply of a time-stamping service")
	}
	if r.Status.Status > 1 { // 0 is granted, 1 granted with changes
		return nil, fmt.Errorf("the service refused the time stamp, with status %d", r.Status.Status)
	}
	var signed signedData
	if _, err := asn1.Unmarshal(r.Token.Content.Bytes, &signed); err != nil || !r.Token.Type.Equal(oidSignedData) {
		return nil, errors.New("the reply holds nothing that is signed")
	}
	if len(signed.Signers) != 1 {
		return nil, fmt.Errorf("the time stamp has %d signers, where one signs", len(signed.Signers))
	}
	return &signed, nil
}

// certificates returns that of the service, and the others.
func (s *signedData) certificates() (service *x509.Certificate, others *x509.CertPool, err error) {
	var inner asn1.RawValue
	if _, err := asn1.Unmarshal(s.Certificates.Whole, &inner); err != nil {
		return nil, nil, errors.New("the reply holds no certificate: ask for one")
	}
	all, err := x509.ParseCertificates(inner.Bytes)
	if err != nil {
		return nil, nil, fmt.Errorf("the certificates of the reply: %w", err)
	}
	others = x509.NewCertPool()
	whose := &s.Signers[0].Whose
	for _, c := range all {
		if c.SerialNumber.Cmp(whose.Serial) == 0 && bytes.Equal(c.RawIssuer, whose.Issuer.FullBytes) {
			service = c
		}
		others.AddCert(c)
	}
	if service == nil {
		return nil, nil, errors.New("the reply does not hold the certificate of its signer")
	}
	return service, others, nil
}

// verify holds what a signer signed against the content.
func (s *signerInfo) verify(content []byte, service *x509.Certificate) error {
	hash, algorithm := s.algorithms(service)
	if hash == 0 {
		return errors.New("the time stamp is signed in a way that is not known here")
	}
	set := bytes.Clone(s.Attributes.Whole)
	if len(set) == 0 {
		return errors.New("the time stamp signs nothing")
	}
	set[0] = asn1.TagSet | 0x20 // RFC 5652, 5.4: they are signed as a set
	var attributes []attribute
	if _, err := asn1.UnmarshalWithParams(set, &attributes, "set"); err != nil {
		return fmt.Errorf("what the time stamp signs cannot be read: %w", err)
	}
	h := hash.New()
	h.Write(content)
	ofStamp, ofContent := false, false
	for _, a := range attributes {
		switch {
		case a.Type.Equal(oidContentType):
			var kind asn1.ObjectIdentifier
			_, err := asn1.Unmarshal(a.Value.Bytes, &kind)
			ofStamp = err == nil && kind.Equal(oidStampInfo)
		case a.Type.Equal(oidMessageDigest):
			var digest []byte
			_, err := asn1.Unmarshal(a.Value.Bytes, &digest)
			ofContent = err == nil && bytes.Equal(digest, h.Sum(nil))
		}
	}
	if !ofStamp || !ofContent {
		return errors.New("the signature is not that of the time stamp")
	}
	if err := service.CheckSignature(algorithm, set, s.Signature); err != nil {
		return fmt.Errorf("the signature is not that of the time stamp: %w", err)
	}
	return nil
}

// algorithms returns how the content was hashed and the attributes signed; 0 is not known.
func (s *signerInfo) algorithms(service *x509.Certificate) (crypto.Hash, x509.SignatureAlgorithm) {
	_, isRSA := service.PublicKey.(*rsa.PublicKey)
	_, isECDSA := service.PublicKey.(*ecdsa.PublicKey)
	for _, known := range []struct {
		name       asn1.ObjectIdentifier
		hash       crypto.Hash
		rsa, ecdsa x509.SignatureAlgorithm
	}{
		{oidSHA256, crypto.SHA256, x509.SHA256WithRSA, x509.ECDSAWithSHA256},
		{oidSHA384, crypto.SHA384, x509.SHA384WithRSA, x509.ECDSAWithSHA384},
		{oidSHA512, crypto.SHA512, x509.SHA512WithRSA, x509.ECDSAWithSHA512},
	} {
		switch {
		case !s.Digest.Algorithm.Equal(known.name):
		case isRSA:
			return known.hash, known.rsa
		case isECDSA:
			return known.hash, known.ecdsa
		}
	}
	return 0, 0
}
