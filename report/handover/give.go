package handover

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
)

// File is what a bundle is to have: something that lies on the disk already, or is written when it is
// its turn. It must come out the same every time.
type File struct {
	Name, Format, About string
	Path                string                // of what lies there; empty is none
	Write               func(io.Writer) error // of what does not
}

// Given is what came of handing over.
type Given struct {
	Wrote int   // files that the store did not have
	Bytes int64 // of them
}

// giving is one bundle on its way into a store.
type giving struct {
	store   Store
	bundle  string
	scratch string           // a folder for what is written before it is given
	known   *Manifest        // nil where the bundle has none yet
	there   map[string]int64 // what the store had, and its sizes
	given   Given
}

// Has tells whether a store has all of a bundle already, with the record that lies in a file; one with
// another record is There.
func Has(ctx context.Context, s Store, digest, file string) (has bool, err error) {
	b, err := Read(ctx, s, digest)
	if isKind(err, Torn) || isKind(err, Missing) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	there, err := s.Sizes(ctx, digest)
	if err != nil {
		return false, err
	}
	for _, e := range b.Files {
		if size, ok := there[e.Name]; !ok || size != e.Size {
			return false, nil
		}
	}
	record, err := os.Open(file)
	if err != nil {
		return false, err
	}
	sum, err := SumOf(asking{ctx, record})
	if err = errors.Join(err, record.Close()); err != nil {
		return false, err
	}
	if own, _ := b.Entry(RecordName); own.Sum != sum {
		return false, another(s, digest, RecordName)
	}
	return true, nil
}

// another is a bundle that is whole, and has something else of a name.
func another(s Store, digest, name string) error {
	return &Error{Kind: There, Where: place(s, digest, name), Text: "the bundle was handed over with another one"}
}

// Give hands a bundle over: its files, of which the first must be the record, and then its manifest.
// What the store has already is not given again, and what it has with other bytes is There. Scratch is
// a folder in which one file at a time is made. Told hears the name of each before it is made.
func Give(ctx context.Context, s Store, scratch string, of Subject, files []File, told func(name string)) (Given, error) {
	if len(files) == 0 || files[0].Name != RecordName {
		panic("handover: a bundle that does not begin with its record")
	}
	g := &giving{store: s, bundle: of.Digest, scratch: scratch}
	if err := g.look(ctx); err != nil {
		return g.given, err
	}
	m := &Manifest{Subject: of}
	for _, f := range files {
		if g.foreign(f.Name) {
			continue
		}
		told(f.Name)
		e, err := g.file(ctx, f)
		if err != nil {
			return g.given, err
		}
		m.Files = append(m.Files, e)
	}
	return g.given, g.manifest(ctx, m)
}

// look finds out what the store has of the bundle.
func (g *giving) look(ctx context.Context) error {
	b, err := Read(ctx, g.store, g.bundle)
	switch {
	case isKind(err, Torn) || isKind(err, Missing):
	case err != nil:
		return err
	default:
		g.known = b.Manifest
	}
	if g.there, err = g.store.Sizes(ctx, g.bundle); err != nil {
		return err
	}
	if f, ok := g.store.(folder); ok {
		f.sweep(g.bundle, time.Now())
	}
	return nil
}

// foreign tells whether a bundle has a manifest that knows no file of that name: an older version of the
// program made it whole, and whole it stays.
func (g *giving) foreign(name string) bool {
	if g.known == nil {
		return false
	}
	_, ok := g.known.Entry(name)
	return !ok
}

// file gives one file, unless the store has it.
func (g *giving) file(ctx context.Context, f File) (e Entry, err error) {
	if !goodName(f.Name) {
		panic("handover: no file of a bundle may be called " + f.Name)
	}
	content, err := g.content(f)
	if err != nil {
		return e, fmt.Errorf("%s: %w", f.Name, err)
	}
	defer func() { err = errors.Join(err, content.Close()) }()
	sum, err := SumOf(asking{ctx, content})
	if err == nil {
		_, err = content.Seek(0, io.SeekStart)
	}
	if err != nil {
		return e, err
	}
	e = Entry{Name: f.Name, Format: f.Format, About: f.About, Sum: sum}
	if g.known != nil { // what was said of it stands
		own, _ := g.known.Entry(f.Name)
		e.Format, e.About = own.Format, own.About
	}
	return e, g.put(ctx, e, content)
}

// content is what a file has in it. What is made of the record loses its name at once, so that it is
// gone when the program is.
func (g *giving) content(f File) (*os.File, error) {
	if f.Path != "" {
		return os.Open(f.Path)
	}
	made, err := os.CreateTemp(g.scratch, "bundle-*")
	if err != nil {
		return nil, err
	}
	err = errors.Join(os.Remove(made.Name()), f.Write(made))
	if err == nil {
		_, err = made.Seek(0, io.SeekStart)
	}
	if err != nil {
		return nil, errors.Join(err, made.Close())
	}
	return made, nil
}

// put gives the store a file. What it has of that name already is held against it.
func (g *giving) put(ctx context.Context, e Entry, content Content) error {
	if g.known != nil {
		if own, _ := g.known.Entry(e.Name); own.Sum != e.Sum && e.Name != ManifestName {
			return another(g.store, g.bundle, e.Name)
		}
	}
	size, ok := g.there[e.Name]
	if !ok {
		err := g.store.Put(ctx, g.bundle, e, content)
		if err == nil {
			g.given.Wrote++
			g.given.Bytes += e.Size
		}
		if !isKind(err, There) {
			return err
		}
		size = e.Size // somebody was faster
	}
	if size != e.Size {
		return &Error{Kind: There, Where: place(g.store, g.bundle, e.Name), Text: fmt.Sprintf("it is there already, with %d bytes and not %d", size, e.Size)}
	}
	return holds(ctx, g.store, g.bundle, e)
}

// holds tells whether what a store has of a name is what it should be.
func holds(ctx context.Context, s Store, bundle string, e Entry) error {
	file, err := s.Get(ctx, bundle, e.Name)
	if err != nil {
		return err
	}
	found, err := SumOf(asking{ctx, file})
	if err = errors.Join(err, file.Close()); err != nil {
		return err
	}
	if found != e.Sum {
		return &Error{Kind: There, Where: place(s, bundle, e.Name), Text: "it is there already, with other bytes"}
	}
	return nil
}

// manifest gives the manifest, which makes the bundle whole.
func (g *giving) manifest(ctx context.Context, m *Manifest) error {
	text := m.Bytes()
	sum, err := SumOf(bytes.NewReader(text))
	if err != nil {
		return err
	}
	return g.put(ctx, Entry{Name: ManifestName, Format: "application/ld+json", Sum: sum}, bytes.NewReader(text))
}
