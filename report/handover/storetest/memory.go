package storetest

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// Memory is a store in this process that speaks as much of S3 as a bundle needs, and keeps what a test
// puts in the place of an object, as a store would on whose disk something happened. It believes every key.
type Memory struct {
	*httptest.Server
	mu      sync.Mutex
	objects map[string][]byte // by bucket/key
}

// NewMemory starts a store that has nothing; it ends with the test, or by Close before.
func NewMemory(t testing.TB) *Memory {
	t.Helper()
	m := &Memory{objects: map[string][]byte{}}
	m.Server = httptest.NewServer(http.HandlerFunc(m.answer))
	t.Cleanup(m.Close)
	return m
}

// Environment is how a program finds the store.
func (m *Memory) Environment() map[string]string {
	return map[string]string{"AWS_ENDPOINT_URL": m.URL, "AWS_REGION": Region, "AWS_ACCESS_KEY_ID": Key, "AWS_SECRET_ACCESS_KEY": Secret}
}

// Change has an object be what a test makes of it; nil takes it away. The name begins with the bucket.
func (m *Memory) Change(name string, change func([]byte) []byte) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if now := change(slices.Clone(m.objects[name])); now == nil {
		delete(m.objects, name)
	} else {
		m.objects[name] = now
	}
}

func (m *Memory) answer(w http.ResponseWriter, r *http.Request) {
	m.mu.Lock()
	defer m.mu.Unlock()
	name := strings.TrimPrefix(r.URL.Path, "/")
	content, there := m.objects[name]
	w.Header().Set("ETag", `"an object"`)
	w.Header().Set("Last-Modified", time.Unix(1_770_000_000, 0).UTC().Format(http.TimeFormat))
	switch {
	case r.Method == http.MethodGet && r.URL.Query().Has("list-type"):
		m.list(w, strings.TrimSuffix(name, "/")+"/", r.URL.Query().Get("prefix"), r.URL.Query().Get("delimiter"))
	case r.Method == http.MethodGet && there:
		_, _ = w.Write(content) // who went away learns nothing
	case r.Method == http.MethodGet:
		refuse(w, http.StatusNotFound, "NoSuchKey")
	case r.Method == http.MethodPut && there && r.Header.Get("If-None-Match") == "*":
		refuse(w, http.StatusPreconditionFailed, "PreconditionFailed")
	case r.Method == http.MethodPut:
		content, err := payload(r)
		if err != nil {
			refuse(w, http.StatusBadRequest, "IncompleteBody")
			return
		}
		m.objects[name] = content
	default:
		refuse(w, http.StatusMethodNotAllowed, "MethodNotAllowed")
	}
}

func refuse(w http.ResponseWriter, status int, code string) {
	w.WriteHeader(status)
	_, _ = fmt.Fprintf(w, "<Error><Code>%s</Code></Error>", code)
}

type listed struct {
	Key  string
	Size int
}

type common struct{ Prefix string }

// list answers with what stands behind a prefix, and no further than to the delimiter.
func (m *Memory) list(w http.ResponseWriter, bucket, prefix, delimiter string) {
	var answer struct {
		XMLName        xml.Name `xml:"ListBucketResult"`
		Contents       []listed
		CommonPrefixes []common
	}
	for name, content := range m.objects {
		key, own := strings.CutPrefix(name, bucket)
		rest, under := strings.CutPrefix(key, prefix)
		if !own || !under {
			continue
		}
		if first, _, deeper := strings.Cut(rest, "/"); deeper && delimiter != "" {
			if c := (common{prefix + first + "/"}); !slices.Contains(answer.CommonPrefixes, c) {
				answer.CommonPrefixes = append(answer.CommonPrefixes, c)
			}
			continue
		}
		answer.Contents = append(answer.Contents, listed{key, len(content)})
	}
	slices.SortFunc(answer.Contents, func(a, b listed) int { return strings.Compare(a.Key, b.Key) })
	slices.SortFunc(answer.CommonPrefixes, func(a, b common) int { return strings.Compare(a.Prefix, b.Prefix) })
	_ = xml.NewEncoder(w).Encode(answer)
}

// payload is what is put, out of the signed chunks in which it may come: the size in hexadecimal digits, a
// signature and a line's end before each, another line's end behind it, and none of a size in the end.
func payload(r *http.Request) ([]byte, error) {
	if !strings.HasPrefix(r.Header.Get("X-Amz-Content-Sha256"), "STREAMING-") {
		return io.ReadAll(r.Body)
	}
	var content bytes.Buffer
	for body := bufio.NewReader(r.Body); ; {
		line, err := body.ReadString('\n')
		if err != nil {
			return nil, err
		}
		var size int64
		if _, err := fmt.Sscanf(line, "%x;", &size); err != nil || size == 0 {
			return content.Bytes(), err
		}
		_, err = io.CopyN(&content, body, size)
		_, ended := body.Discard(len("\r\n"))
		if err = errors.Join(err, ended); err != nil {
			return nil, err
		}
	}
}
