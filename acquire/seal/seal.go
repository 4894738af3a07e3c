// Package seal knows seals: signatures over what a record comes to at one moment.
//
// Terms. A seal is a short text, which a person can read, and a signature of it in the
// format SSHSIG, by an ed25519 key, in a namespace of our own. So whoever has OpenSSH
// verifies it without this program:
//
//	ssh-keygen -Y verify -f SIGNERS -I NAME -n seal@arctally -s FILE.sig < FILE
//
// A signer is a name and the key that one trusts to be his, as a line of the file that
// ssh-keygen calls allowed signers. A machine has a key of its own; a person may have one.
//
// Errors: every error says what is wrong with the text, the signature, the file or the
// line.
package seal

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// Namespace keeps a signature made for something else from being taken for a seal.
const Namespace = "seal@arctally"

// Words of the formats of OpenSSH, from PROTOCOL.sshsig and RFC 8709.
const (
	magic       = "SSHSIG"
	version     = 1
	keyType     = "ssh-ed25519"
	hashName    = "sha512"
	armorBegin  = "-----BEGIN SSH SIGNATURE-----"
	armorEnd    = "-----END SSH SIGNATURE-----"
	armorColumn = 70
)

// Public is the public half of a key.
type Public [ed25519.PublicKeySize]byte

// blob is the key as OpenSSH writes it.
func (p Public) blob() []byte { return text(text(nil, []byte(keyType)), p[:]) }

// String is the key as it stands in a file of allowed signers.
func (p Public) String() string { return keyType + " " + base64.StdEncoding.EncodeToString(p.blob()) }

// Fingerprint is the short name of the key, as ssh-keygen -l prints it.
func (p Public) Fingerprint() string {
	sum := sha256.Sum256(p.blob())
	return "SHA256:" + base64.RawStdEncoding.EncodeToString(sum[:])
}

// weak are the points of small order, without the sign of x: with a key that is one of them
// a signature fits whatever text. Common knowledge of the curve; a test works them out.
var weak = []string{
	"0000000000000000000000000000000000000000000000000000000000000000",
	"0100000000000000000000000000000000000000000000000000000000000000",
	"26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
	"c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
	"ecffffffffffffffffffffffffffffffffffffffffffffffffffffffffffff7f",
}

// isWeak tells whether a key is one that nobody has made: of small order, or with a number
// not below 2^255 - 19, which RFC 8032, 5.1.3, has nobody take for another key.
func (p Public) isWeak() bool {
	p[len(p)-1] &= 0x7f // without the sign of x
	y := hex.EncodeToString(p[:])
	return slices.Contains(weak, y) || y[2:] == weak[4][2:] && p[0] >= 0xed
}

// Key signs. Its name says whose it is.
type Key struct {
	Name    string
	Person  bool // and not a machine
	private ed25519.PrivateKey
}

// Public returns the public half.
func (k *Key) Public() Public { return Public(k.private.Public().(ed25519.PublicKey)) }

// Sign returns the signature of a text.
func (k *Key) Sign(message []byte) []byte {
	signature := ed25519.Sign(k.private, signed(message))
	b := binary.BigEndian.AppendUint32([]byte(magic), version)
	b = text(b, k.Public().blob())
	for _, field := range []string{Namespace, "", hashName} {
		b = text(b, []byte(field))
	}
	return text(b, text(text(nil, []byte(keyType)), signature))
}

// signed is what the key signs for a message.
func signed(message []byte) []byte {
	sum := sha512.Sum512(message)
	b := []byte(magic)
	for _, field := range []string{Namespace, "", hashName} {
		b = text(b, []byte(field))
	}
	return text(b, sum[:])
}

// text appends a field: its length, and its bytes.
func text(b, field []byte) []byte {
	return append(binary.BigEndian.AppendUint32(b, uint32(len(field))), field...)
}

// ErrSignature is said of a signature that does not belong to its text.
var ErrSignature = errors.New("the signature is not that of the text")

// Verify returns the key by which a text was signed.
func Verify(message, signature []byte) (Public, error) {
	// A signature has one form only: it is taken apart, put together again and compared.
	const keyAt = len(magic) + 4 + 4 + 4 + len(keyType) + 4
	var p Public
	if len(signature) < keyAt+len(p)+ed25519.SignatureSize {
		return p, fmt.Errorf("a signature of %d bytes, which is none", len(signature))
	}
	copy(p[:], signature[keyAt:])
	raw := signature[len(signature)-ed25519.SignatureSize:]
	form := binary.BigEndian.AppendUint32([]byte(magic), version)
	form = text(form, p.blob())
	for _, field := range []string{Namespace, "", hashName} {
		form = text(form, []byte(field))
	}
	form = text(form, text(text(nil, []byte(keyType)), raw))
	if !bytes.Equal(form, signature) {
		return p, errors.New("a signature of another kind or for another purpose")
	}
	if p.isWeak() {
		return p, errors.New("a key with which anybody can sign")
	}
	if !ed25519.Verify(p[:], signed(message), raw) {
		return p, ErrSignature
	}
	return p, nil
}

// Armor is a signature as ssh-keygen reads it.
func Armor(signature []byte) string {
	var b strings.Builder
	b.WriteString(armorBegin + "\n")
	for coded := base64.StdEncoding.EncodeToString(signature); coded != ""; {
		n := min(armorColumn, len(coded))
		b.WriteString(coded[:n] + "\n")
		coded = coded[n:]
	}
	b.WriteString(armorEnd + "\n")
	return b.String()
}
