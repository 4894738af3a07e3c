package handover

import (
	"context"
	"io"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// Store keeps bundles. Its methods may be called from several goroutines at once.
type Store interface {
	// String is where it is, as one names it on a line.
	String() string
	// Names returns the names of the folders right in the store, in order.
	Names(ctx context.Context) ([]string, error)
	// Sizes returns how many bytes each file of a bundle has; none where there is no such bundle.
	Sizes(ctx context.Context, bundle string) (map[string]int64, error)
	// Get reads a file of a bundle; one that is not there is Missing. The caller closes it.
	Get(ctx context.Context, bundle, name string) (io.ReadCloser, error)
	// Put gives a bundle a file, and returns once the store has it whole. One of that name is not written
	// over, but There.
	Put(ctx context.Context, bundle string, entry Entry, content Content) error
}

// Content is what a file is made of, from its beginning.
type Content interface {
	io.ReadSeeker
	io.ReaderAt
}

// scheme begins the name of an object store.
const scheme = "s3://"

// Open finds a store by its name: a folder, which need not be there yet, or s3://BUCKET/PREFIX with keys,
// endpoint and region in the environment.
func Open(where string) (Store, error) {
	if rest, ok := strings.CutPrefix(where, scheme); ok {
		return openObjects(where, rest, os.Getenv)
	}
	if strings.Contains(where, "://") || where == "" {
		return nil, &Error{Kind: Unnamed, Where: where, Text: "that is neither a folder nor s3://BUCKET/PREFIX"}
	}
	return folder(where), nil
}

// IsRemote tells the name of an object store from that of a folder.
func IsRemote(where string) bool { return strings.HasPrefix(where, scheme) }

// OpenAt is Open for the name of a bundle in a store: FOLDER/DIGEST or s3://BUCKET/PREFIX/DIGEST.
func OpenAt(where string) (s Store, digest string, err error) {
	in := ""
	if rest, ok := strings.CutPrefix(where, scheme); ok {
		rest = strings.TrimRight(rest, "/")
		digest = path.Base(rest)
		in = scheme + strings.TrimSuffix(strings.TrimSuffix(rest, digest), "/")
	} else {
		full, err := filepath.Abs(where)
		if err != nil {
			return nil, "", &Error{Kind: Unnamed, Where: where, Err: err}
		}
		in, digest = filepath.Split(full)
	}
	if !IsDigest(digest) {
		return nil, "", &Error{Kind: Unnamed, Where: where, Text: "a bundle is named by its digest, 64 hexadecimal digits at the end of its place"}
	}
	s, err = Open(in)
	return s, digest, err
}

// Digests returns the names of the bundles in a store, whole ones and torn ones, in order.
func Digests(ctx context.Context, s Store) ([]string, error) {
	names, err := s.Names(ctx)
	if err != nil {
		return nil, err
	}
	digests := []string{}
	for _, name := range names {
		if IsDigest(name) {
			digests = append(digests, name)
		}
	}
	return digests, nil
}
