package stamp

import (
	"bytes"
	"crypto/sha256"
	"crypto/x509"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// service is a time-stamping service made of openssl's commands.
type service struct {
	t   *testing.T
	dir string
}

const settings = `
[req]
distinguished_name = name
[name]
[authority]
basicConstraints = critical,CA:true
keyUsage = critical,keyCertSign
[stamps]
extendedKeyUsage = critical,timeStamping
keyUsage = critical,digitalSignature
[tsa]
default_tsa = tsa_settings
[tsa_settings]
serial = serial
default_policy = 1.2.3.4
digests = sha256
signer_digest = sha256
ess_cert_id_alg = sha256
certs = authority.pem
`

func (s *service) run(arguments ...string) {
	s.t.Helper()
	command := exec.CommandContext(s.t.Context(), "openssl", arguments...)
	command.Dir = s.dir
	out, err := command.CombinedOutput()
	require.NoError(s.t, err, "openssl %s: %s", strings.Join(arguments, " "), out)
}

func (s *service) read(name string) []byte {
	s.t.Helper()
	file, err := os.ReadFile(filepath.Join(s.dir, name))
	require.NoError(s.t, err)
	return file
}

func newService(t *testing.T, kind string) *service {
	t.Helper()
	if _, err := exec.LookPath("openssl"); err != nil {
		t.Skip("openssl is not here: nobody stamps")
	}
	s := &service{t, t.TempDir()}
	require.NoError(t, os.WriteFile(filepath.Join(s.dir, "settings"), []byte(settings), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(s.dir, "serial"), []byte("01\n"), 0o600))
	key := []string{"-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256"}
	if kind == "rsa" {
		key = []string{"-newkey", "rsa:2048"}
	}
	s.run(append([]string{"req", "-x509", "-config", "settings", "-extensions", "authority", "-subj", "/CN=Authority 1", "-days", "30", "-nodes", "-keyout", "authority.key", "-out", "authority.pem"}, key...)...)
	s.run(append([]string{"req", "-new", "-config", "settings", "-subj", "/CN=Service 1", "-nodes", "-keyout", "stamps.key", "-out", "stamps.csr"}, key...)...)
	s.run("x509", "-req", "-in", "stamps.csr", "-CA", "authority.pem", "-CAkey", "authority.key", "-CAcreateserial", "-extfile", "settings", "-extensions", "stamps", "-days", "30", "-out", "stamps.pem")
	return s
}

func (s *service) reply(head [32]byte) []byte {
	s.t.Helper()
	request, err := Request(head)
	require.NoError(s.t, err)
	require.NoError(s.t, os.WriteFile(filepath.Join(s.dir, "request"), request, 0o600))
	s.run("ts", "-query", "-in", "request", "-text")
	s.run("ts", "-reply", "-config", "settings", "-queryfile", "request", "-signer", "stamps.pem", "-inkey", "stamps.key", "-out", "reply")
	s.run("ts", "-verify", "-queryfile", "request", "-in", "reply", "-CAfile", "authority.pem")
	return s.read("reply")
}

func (s *service) pool(name string) *x509.CertPool {
	pool := x509.NewCertPool()
	require.True(s.t, pool.AppendCertsFromPEM(s.read(name)))
	return pool
}

func TestVerify_WhatAServiceStamped(t *testing.T) {
	for _, kind := range []string{"ec", "rsa"} {
		s := newService(t, kind)
		head := sha256.Sum256([]byte("head"))
		before := time.Now().Add(-time.Minute)
		reply := s.reply(head)
		stamp, err := Verify(reply, s.pool("authority.pem"))
		require.NoError(t, err)
		require.Equal(t, head, stamp.Head)
		require.Equal(t, "Service 1", stamp.By)
		require.True(t, stamp.At.After(before) && stamp.At.Before(time.Now().Add(time.Minute)), stamp.At)

		_, err = Verify(reply, x509.NewCertPool())
		require.ErrorContains(t, err, "is not trusted")
		_, err = Verify(reply, newService(t, kind).pool("authority.pem"))
		require.ErrorContains(t, err, "is not trusted", "another authority of the same name")
		refused(t, s, reply, stamp)
	}
}

// refused changes every byte of a reply: it is refused, or says the same.
func refused(t *testing.T, s *service, reply []byte, stamp *Stamp) {
	t.Helper()
	pool := s.pool("authority.pem")
	told := 0
	for at := range reply {
		changed := bytes.Clone(reply)
		changed[at] ^= 1
		again, err := Verify(changed, pool)
		if err != nil {
			told++
			continue
		}
		require.Equal(t, stamp, again, "byte %d", at)
	}
	require.Greater(t, told, len(reply)/2)
	for n := range len(reply) {
		_, err := Verify(reply[:n], pool)
		require.Error(t, err, "cut at %d", n)
	}
}

func FuzzVerify(f *testing.F) {
	f.Add([]byte{0x30, 0x03, 0x30, 0x01, 0x02})
	f.Fuzz(func(t *testing.T, reply []byte) {
		_, err := Verify(reply, x509.NewCertPool())
		require.Error(t, err)
	})
}
