package stamp

import (
	"bytes"
	"crypto/sha256"
	"crypto/x509"
	"encoding/asn1"
	"encoding/pem"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// usages are what a certificate may say that it is for, by name. Openssl stamps with none of
// them, so they take the place of the right certificate in a reply.
var usages = map[string]string{
	"of no purpose":     "",
	"of every purpose":  "critical,anyExtendedKeyUsage",
	"of a web server":   "critical,serverAuth",
	"of two purposes":   "critical,timeStamping,serverAuth",
	"of one unknown":    "critical,timeStamping,1.2.3.4",
	"of a light remark": "timeStamping",
}

// A certificate of the same authority, key, name and number, which was given out for something
// else, stamps nothing.
func TestVerify_ACertificateForSomethingElse(t *testing.T) {
	s := newService(t, "ec")
	reply := s.reply(sha256.Sum256([]byte("head")))
	certificate := func(name string) []byte {
		block, _ := pem.Decode(s.read(name))
		return block.Bytes
	}
	own, number := certificate("stamps.pem"), strings.TrimSpace(string(s.read("authority.srl")))
	for name, usage := range usages {
		extensions := "keyUsage = critical,digitalSignature\n"
		if usage != "" {
			extensions += "extendedKeyUsage = " + usage + "\n"
		}
		require.NoError(t, os.WriteFile(filepath.Join(s.dir, "other"), []byte(extensions), 0o600))
		s.run("x509", "-req", "-in", "stamps.csr", "-CA", "authority.pem", "-CAkey", "authority.key", "-set_serial", "0x"+number, "-extfile", "other", "-days", "30", "-out", "other.pem")
		other, err := x509.ParseCertificate(certificate("other.pem"))
		require.NoError(t, err)
		_, err = Verify(exchanged(t, reply, own, other.Raw), s.pool("authority.pem"))
		require.ErrorContains(t, err, "not one for time stamps alone", name)
	}
	same, err := Verify(exchanged(t, reply, own, own), s.pool("authority.pem"))
	require.NoError(t, err)
	require.Equal(t, "Service 1", same.By)
}

// exchanged is a reply with another certificate in it: all lengths around it change.
func exchanged(t *testing.T, reply, old, other []byte) []byte {
	t.Helper()
	if bytes.Equal(reply, old) {
		return other
	}
	var v asn1.RawValue
	rest, err := asn1.Unmarshal(reply, &v)
	require.NoError(t, err)
	require.Empty(t, rest)
	if !v.IsCompound || !bytes.Contains(v.Bytes, old) {
		return reply
	}
	var inner []byte
	for left := v.Bytes; len(left) > 0; {
		var part asn1.RawValue
		left, err = asn1.Unmarshal(left, &part)
		require.NoError(t, err)
		inner = append(inner, exchanged(t, part.FullBytes, old, other)...)
	}
	again, err := asn1.Marshal(asn1.RawValue{Class: v.Class, Tag: v.Tag, IsCompound: true, Bytes: inner})
	require.NoError(t, err)
	return again
}
