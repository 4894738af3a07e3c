package handover

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/report/handover/storetest"
)

// lookup is an environment.
func lookup(of map[string]string, but ...string) func(string) string {
	own := map[string]string{}
	for name, value := range of {
		own[name] = value
	}
	for k := 0; k < len(but); k += 2 {
		own[but[k]] = but[k+1]
	}
	return func(name string) string { return own[name] }
}

// bucket opens the store of a test, with its environment changed.
func bucket(t *testing.T, e *storetest.Engine, but ...string) *objects {
	t.Helper()
	s, err := openObjects("s3://repairs/shop/1", "repairs/shop/1", lookup(e.Environment(), but...))
	require.NoError(t, err)
	return s.(*objects)
}

func TestOpen_WhatTheEnvironmentDoesNotSay(t *testing.T) {
	whole := map[string]string{endpointName: "http://127.0.0.1:1", regionName: "x", keyName: "k", secretName: "s"}
	for name := range whole {
		_, err := openObjects("s3://b/p", "b/p", lookup(whole, name, ""))
		requireKind(t, Unnamed, err, "does not say "+name)
	}
	_, err := openObjects("s3://b/p", "b/p", lookup(nil))
	requireKind(t, Unnamed, err, "AWS_ENDPOINT_URL, AWS_REGION, AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY")
	for _, address := range []string{"127.0.0.1:9000", "ftp://x", "http://", "http://x/y", "%"} {
		_, err := openObjects("s3://b/p", "b/p", lookup(whole, endpointName, address))
		requireKind(t, Unnamed, err, "AWS_ENDPOINT_URL is no address")
	}
	for _, at := range []string{"", "/p", "b/../p", "b//p"} {
		_, err := openObjects("s3://"+at, at, lookup(whole))
		requireKind(t, Unnamed, err, "s3://BUCKET/PREFIX")
	}
	for _, at := range []string{"bucket", "bucket/", "bucket/a/b/"} {
		s, err := openObjects("s3://"+at, at, lookup(whole))
		require.NoError(t, err)
		require.Equal(t, "s3://"+strings.TrimRight(at, "/"), s.String())
	}
}

// What a store says is told in words of our own, each with what to do. The codes are those that S3 documents.
func TestObjects_WhatAStoreRefuses(t *testing.T) {
	for code, want := range map[string]Kind{
		"InvalidAccessKeyId": Refused, "SignatureDoesNotMatch": Refused, "AccessDenied": Forbidden, "RequestTimeTooSkewed": Skewed,
		"NoSuchBucket": NoBucket, "QuotaExceeded": Full, "MethodNotAllowed": Failed,
	} {
		t.Run(code, func(t *testing.T) {
			server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				w.WriteHeader(http.StatusForbidden)
				_ = xml.NewEncoder(w).Encode(struct {
					XMLName       xml.Name `xml:"Error"`
					Code, Message string
				}{Code: code, Message: "so it is"})
			}))
			defer server.Close()
			s, err := openObjects("s3://repairs", "repairs", lookup(map[string]string{endpointName: server.URL, regionName: "x", keyName: "k", secretName: "s"}))
			require.NoError(t, err)
			_, err = give(t, s, bundleFiles(t))
			requireKind(t, want, err, "s3://repairs")
			_, err = Digests(context.Background(), s)
			requireKind(t, want, err)
		})
	}
	for status, want := range map[int]Kind{http.StatusInsufficientStorage: Full, http.StatusTeapot: Failed} {
		server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(status) }))
		s, err := openObjects("s3://repairs", "repairs", lookup(map[string]string{endpointName: server.URL, regionName: "x", keyName: "k", secretName: "s"}))
		require.NoError(t, err)
		_, err = s.Sizes(context.Background(), digest)
		requireKind(t, want, err)
		server.Close()
	}
}

func TestObjects_NobodyAnswers(t *testing.T) {
	server := httptest.NewServer(nil)
	server.Close()
	s, err := openObjects("s3://repairs", "repairs", lookup(map[string]string{endpointName: server.URL, regionName: "x", keyName: "k", secretName: "s"}))
	require.NoError(t, err)
	_, err = give(t, s, bundleFiles(t))
	requireKind(t, Unreachable, err, "cannot be reached")
}

func TestEngine_GiveAndTake(t *testing.T) {
	e := storetest.Start(t)
	s, files := bucket(t, e), bundleFiles(t)
	given, err := give(t, s, files)
	require.NoError(t, err)
	require.Equal(t, 5, given.Wrote)
	has, err := Has(context.Background(), s, digest, files[0].Path)
	require.NoError(t, err)
	require.True(t, has)
	found, err := Digests(context.Background(), s)
	require.NoError(t, err)
	require.Equal(t, []string{digest}, found)
	into, err := fetch(t, s)
	require.NoError(t, err)
	content, err := os.ReadFile(filepath.Join(into, RecordName))
	require.NoError(t, err)
	require.Equal(t, "a record", string(content))
	_, err = Read(context.Background(), s, strings.Repeat("ee", digestSize))
	requireKind(t, Missing, err)
}

// The store says the SHA-256 of what it got, and takes nothing that has another one.
func TestEngine_SaysTheSum(t *testing.T) {
	s := bucket(t, storetest.Start(t))
	content := strings.NewReader("a record")
	sum, err := SumOf(strings.NewReader("A record"))
	require.NoError(t, err)
	err = s.Put(context.Background(), digest, Entry{Name: RecordName, Sum: sum}, content)
	requireKind(t, Failed, err)
	sizes, err := s.Sizes(context.Background(), digest)
	require.NoError(t, err)
	require.Empty(t, sizes)
}

func TestEngine_NothingIsWrittenOver(t *testing.T) {
	s := bucket(t, storetest.Start(t))
	ctx := context.Background()
	for _, there := range []string{"A paper", "another paper"} {
		of := strings.Repeat(fmt.Sprintf("%02x", len(there)), digestSize)
		sum, err := SumOf(strings.NewReader(there))
		require.NoError(t, err)
		require.NoError(t, s.Put(ctx, of, Entry{Name: "weld-record.pdf", Sum: sum}, strings.NewReader(there)))
		requireKind(t, There, s.Put(ctx, of, Entry{Name: "weld-record.pdf", Sum: sum}, strings.NewReader(there)), "there already")
		who := subject()
		who.Digest = of
		_, err = Give(ctx, s, t.TempDir(), who, bundleFiles(t), func(string) {})
		requireKind(t, There, err, "weld-record.pdf")
		require.NoError(t, holds(ctx, s, of, Entry{Name: "weld-record.pdf", Sum: sum}))
		_, err = Read(ctx, s, of)
		requireKind(t, Torn, err)
	}
}

// What is too large for one piece goes in several, and is not written over either.
func TestEngine_InPieces(t *testing.T) {
	s := bucket(t, storetest.Start(t))
	s.mostAtOnce, s.piece = 1<<20, 5<<20 // the smallest that S3 takes
	noise := make([]byte, 12<<20)
	_, _ = rand.NewChaCha8([32]byte{1}).Read(noise)
	sum, err := SumOf(bytes.NewReader(noise))
	require.NoError(t, err)
	e := Entry{Name: SamplesName, Sum: sum}
	require.NoError(t, s.Put(context.Background(), digest, e, bytes.NewReader(noise)))
	requireKind(t, There, s.Put(context.Background(), digest, e, bytes.NewReader(noise)))
	require.NoError(t, holds(context.Background(), s, digest, e))
}

func TestEngine_WrongKeys(t *testing.T) {
	e := storetest.Start(t)
	for _, but := range [][]string{{keyName, "nobody"}, {secretName, "another secret"}} {
		_, err := give(t, bucket(t, e, but...), bundleFiles(t))
		requireKind(t, Refused, err, "does not take the keys")
	}
	s, err := openObjects("s3://elsewhere/x", "elsewhere/x", lookup(e.Environment()))
	require.NoError(t, err)
	_, err = give(t, s, bundleFiles(t))
	requireKind(t, NoBucket, err, "there is no bucket elsewhere")
}

// The store that other rooms test against is one: bundles go in, come out and are never written over.
func TestMemory(t *testing.T) {
	m := storetest.NewMemory(t)
	opened, err := openObjects("s3://repairs/shop/1", "repairs/shop/1", lookup(m.Environment()))
	require.NoError(t, err)
	s, files := opened.(*objects), bundleFiles(t)
	given, err := give(t, s, files)
	require.NoError(t, err)
	require.Equal(t, 5, given.Wrote)
	given, err = give(t, s, files)
	require.NoError(t, err)
	require.Zero(t, given.Wrote)
	found, err := Digests(t.Context(), s)
	require.NoError(t, err)
	require.Equal(t, []string{digest}, found)
	into, err := fetch(t, s)
	require.NoError(t, err)
	content, err := os.ReadFile(filepath.Join(into, RecordName))
	require.NoError(t, err)
	require.Equal(t, "a record", string(content))
	m.Change("repairs/shop/1/"+digest+"/"+RecordName, func([]byte) []byte { return []byte("A record") })
	_, err = give(t, s, files)
	requireKind(t, There, err, "with other bytes")
}
