package handover

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
)

// Bundle is one that has its manifest.
type Bundle struct {
	*Manifest
	store Store
}

// Read opens a bundle of a store. One that is not there is Missing, one without a manifest Torn.
func Read(ctx context.Context, s Store, digest string) (*Bundle, error) {
	where := place(s, digest, ManifestName)
	text, err := readAll(ctx, s, digest, ManifestName, largestManifest+1)
	if isKind(err, Missing) {
		return nil, absent(ctx, s, digest)
	}
	if err != nil {
		return nil, err
	}
	m, err := ParseManifest(where, text)
	if err != nil {
		return nil, err
	}
	if m.Digest != digest {
		return nil, &Error{Kind: Unfit, Where: where, Text: "it is the manifest of another bundle, " + m.Digest}
	}
	return &Bundle{m, s}, nil
}

// absent tells a bundle that is torn from one that is not there.
func absent(ctx context.Context, s Store, digest string) error {
	sizes, err := s.Sizes(ctx, digest)
	switch {
	case err != nil:
		return err
	case len(sizes) > 0:
		return &Error{Kind: Torn, Where: place(s, digest, ""), Text: "it was not handed over to its end: there is no manifest"}
	default:
		return &Error{Kind: Missing, Where: place(s, digest, ""), Text: "there is no such bundle"}
	}
}

func readAll(ctx context.Context, s Store, digest, name string, most int64) ([]byte, error) {
	file, err := s.Get(ctx, digest, name)
	if err != nil {
		return nil, err
	}
	text, err := io.ReadAll(io.LimitReader(asking{ctx, file}, most))
	return text, errors.Join(err, file.Close())
}

// Open reads a file of the bundle. In place of its end comes an error where its bytes are not those of
// the manifest: who reads it must not believe any of them before its end. The caller closes it.
func (b *Bundle) Open(ctx context.Context, name string) (io.ReadCloser, error) {
	e, ok := b.Entry(name)
	if !ok {
		return nil, &Error{Kind: Missing, Where: place(b.store, b.Digest, name), Text: "no file of this bundle"}
	}
	file, err := b.store.Get(ctx, b.Digest, name)
	if err != nil {
		return nil, err
	}
	return newChecked(file, e.Sum, place(b.store, b.Digest, name)), nil
}

// ReadFile is Open for a file that is read whole, of at most so many bytes.
func (b *Bundle) ReadFile(ctx context.Context, name string, most int64) (content []byte, err error) {
	if e, ok := b.Entry(name); ok && e.Size > most {
		return nil, &Error{Kind: Unfit, Where: place(b.store, b.Digest, name), Text: fmt.Sprintf("it has %d bytes, where %d are the most", e.Size, most)}
	}
	file, err := b.Open(ctx, name)
	if err != nil {
		return nil, err
	}
	content, err = io.ReadAll(asking{ctx, file})
	if err = errors.Join(err, file.Close()); err != nil {
		return nil, err
	}
	return content, nil
}

// ReadBack reads every file of the bundle out of its store, holds it against the manifest, and reads the
// manifest once more at the end: what no error comes of is all there, with the bytes that it should have.
// Told hears the name of each before it is read.
func (b *Bundle) ReadBack(ctx context.Context, told func(name string)) error {
	for _, e := range b.Files {
		told(e.Name)
		file, err := b.Open(ctx, e.Name)
		if err != nil {
			return err
		}
		_, err = io.Copy(io.Discard, asking{ctx, file})
		if err = errors.Join(err, file.Close()); err != nil {
			return err
		}
	}
	told(ManifestName)
	again, err := Read(ctx, b.store, b.Digest)
	if err == nil && !bytes.Equal(again.Bytes(), b.Bytes()) {
		err = &Error{Kind: Differs, Where: place(b.store, b.Digest, ManifestName), Text: "it became another one while the bundle was read"}
	}
	return err
}

// Fetch writes all files of the bundle and then its manifest into a folder that is empty, each held
// against the manifest; told hears the name of each before it is fetched.
func (b *Bundle) Fetch(ctx context.Context, into *os.Root, told func(name string)) error {
	for _, e := range b.Files {
		told(e.Name)
		if err := b.fetch(ctx, into, e.Name); err != nil {
			return err
		}
	}
	if _, err := write(ctx, into, ManifestName, bytes.NewReader(b.Bytes())); err != nil {
		return err
	}
	return syncUp(into, ".")
}

func (b *Bundle) fetch(ctx context.Context, into *os.Root, name string) (err error) {
	file, err := b.Open(ctx, name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	if err := into.MkdirAll(path.Dir(name), 0o755); err != nil {
		return err
	}
	if _, err := write(ctx, into, name, file); err != nil {
		return err
	}
	return syncUp(into, path.Dir(name))
}
