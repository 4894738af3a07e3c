package seal

import (
	"bytes"
	"crypto/ed25519"
	"crypto/x509"
	"encoding/pem"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// fuzzKey is the same in every run, so that what was found is found again.
func fuzzKey() *Key {
	return &Key{Name: "Inspector 1", Person: true, private: ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))}
}

// Nobody without the key finds a signature of its.
func FuzzVerify(f *testing.F) {
	k := fuzzKey()
	own := []byte(statement().Text())
	f.Add(own, k.Sign(own))
	f.Add([]byte("a"), k.Sign(own))
	f.Fuzz(func(t *testing.T, text, signature []byte) {
		key, err := Verify(text, signature)
		if err == nil && key == k.Public() {
			require.Equal(t, own, text)
			require.Equal(t, k.Sign(own), signature)
		}
	})
}

// A signer that is read is one whose line reads the same.
func FuzzParseSigners(f *testing.F) {
	line := fuzzKey().Signer().Line()
	f.Add(line)
	f.Add("# a remark\n\n\"a,b\" namespaces=\"git,seal@arctally\" " + fuzzKey().Public().String() + " more\n")
	f.Add("a ssh-rsa AAAA\na cert-authority x y")
	f.Fuzz(func(t *testing.T, file string) {
		signers, err := ParseSigners(file)
		if err != nil {
			return
		}
		for _, s := range signers {
			if slices.ContainsFunc(s.Names, func(name string) bool { return CheckName(name) != nil }) {
				continue // no seal is by such a name
			}
			again, err := ParseSigners(s.Line())
			require.NoError(t, err)
			require.Equal(t, []Signer{s}, again)
		}
	})
}

// A file that holds a key holds a whole one, and nothing else.
func FuzzKeyFile(f *testing.F) {
	der, err := x509.MarshalPKCS8PrivateKey(fuzzKey().private)
	require.NoError(f, err)
	f.Add(pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der}))
	f.Fuzz(func(t *testing.T, file []byte) {
		private, err := privateIn(file)
		if err != nil {
			require.Nil(t, private)
			return
		}
		require.Len(t, private, ed25519.PrivateKeySize)
		require.True(t, bytes.HasPrefix(bytes.TrimSpace(file[bytes.Index(file, []byte("-----BEGIN")):]), []byte("-----BEGIN")))
		k := Key{private: private}
		_, err = Verify([]byte("a"), k.Sign([]byte("a")))
		require.NoError(t, err)
	})
}
