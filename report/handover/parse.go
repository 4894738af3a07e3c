package handover

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
)

// What a manifest may have. Ours, no source: a job has some dozens of photographs.
const (
	largestManifest = 4 << 20 // bytes
	mostFiles       = 10_000
)

// ParseManifest reads a manifest that anybody may have written; where is what the error names.
func ParseManifest(where string, text []byte) (*Manifest, error) {
	refuse := func(format string, arg ...any) (*Manifest, error) {
		return nil, &Error{Kind: Unfit, Where: where, Text: fmt.Sprintf(format, arg...)}
	}
	if len(text) > largestManifest {
		return refuse("a manifest of more than %d bytes", largestManifest)
	}
	d := json.NewDecoder(bytes.NewReader(text))
	var c struct {
		Graph []entity `json:"@graph"`
	}
	if err := d.Decode(&c); err != nil {
		return refuse("no RO-Crate: %v", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return refuse("something stands behind its end")
	}
	g, err := graphOf(c.Graph)
	if err != nil {
		return refuse("%v", err)
	}
	if version := g.figure(layoutFigure); version != strconv.Itoa(Version) {
		return nil, versionError(where, version)
	}
	m, err := g.manifest()
	if err != nil {
		return refuse("%v", err)
	}
	return m, nil
}

// versionError is that of another layout than that of this program.
func versionError(where, version string) error {
	if n, err := strconv.ParseInt(version, 10, 64); err == nil && n > Version && strconv.FormatInt(n, 10) == version {
		return &Error{Kind: Newer, Where: where, Text: fmt.Sprintf("its layout is version %d, and this program knows %d", n, Version)}
	}
	return &Error{Kind: Unfit, Where: where, Text: fmt.Sprintf("it does not say the version of its layout, but %q", version)}
}

// graph finds the entities by what they are called.
type graph map[string]entity

func graphOf(entities []entity) (graph, error) {
	g := graph{}
	for _, e := range entities {
		if _, twice := g[e.ID]; twice {
			return nil, fmt.Errorf("%q stands in it twice", e.ID)
		}
		g[e.ID] = e
	}
	self := g[ManifestName]
	if self.ConformsTo == nil || self.ConformsTo.ID != crateVersion || self.About == nil || self.About.ID != rootID {
		return nil, fmt.Errorf("it does not say that it is the manifest of an RO-Crate 1.1")
	}
	return g, nil
}

// figure is the value of a figure of the record; empty is none.
func (g graph) figure(name string) string {
	if e := g["#"+name]; e.Property == name {
		return e.Value
	}
	return ""
}

func (g graph) manifest() (*Manifest, error) {
	root := g[rootID]
	m := &Manifest{Subject: Subject{Digest: g.figure(headFigure), Record: g.figure(recordFigure), Job: root.Name, Procedure: g.figure(judgedFigure)}}
	if !IsDigest(m.Digest) || !IsDigest(m.Record) {
		return nil, fmt.Errorf("it does not say which record it is of")
	}
	var err error
	if m.Commits, err = count(g.figure(commitsFigure)); err != nil || m.Commits == 0 {
		return nil, fmt.Errorf("it does not say how many commits the record has")
	}
	if m.Closed, err = time.Parse(closedForm, root.Published); err != nil || m.Closed.Format(closedForm) != root.Published || m.Closed.Location() != time.UTC {
		return nil, fmt.Errorf("datePublished of %s: no time as this program writes it", rootID)
	}
	if m.Files, err = g.files(root.HasPart); err != nil {
		return nil, err
	}
	if _, ok := m.Entry(RecordName); !ok {
		return nil, fmt.Errorf("there is no %s in it", RecordName)
	}
	return m, nil
}

// files reads the parts of a bundle. What else the manifest describes is no file of it.
func (g graph) files(parts []reference) ([]Entry, error) {
	if len(parts) > mostFiles {
		return nil, fmt.Errorf("it has %d files, where %d are the most", len(parts), mostFiles)
	}
	var files []Entry
	for _, part := range parts {
		e, err := g.file(part.ID)
		if err != nil {
			return nil, fmt.Errorf("file %q: %w", part.ID, err)
		}
		files = append(files, e)
	}
	slices.SortFunc(files, func(a, b Entry) int { return strings.Compare(a.Name, b.Name) })
	for k := 1; k < len(files); k++ {
		before, name := files[k-1].Name, files[k].Name
		if before == name {
			return nil, fmt.Errorf("file %q: it is a part twice", name)
		}
	}
	return files, insideAnother(files)
}

// insideAnother refuses a file that lies in another one.
func insideAnother(files []Entry) error {
	names := map[string]bool{}
	for _, e := range files {
		names[e.Name] = true
	}
	for _, e := range files {
		for k, r := range e.Name {
			if r == '/' && names[e.Name[:k]] {
				return fmt.Errorf("file %q: it would lie in the file %q", e.Name, e.Name[:k])
			}
		}
	}
	return nil
}

func (g graph) file(name string) (e Entry, err error) {
	if !goodName(name) || name == ManifestName {
		return e, fmt.Errorf("no file of a bundle has such a name")
	}
	part, ok := g[name]
	if !ok || part.Type != "File" {
		return e, fmt.Errorf("it is a part, and the manifest does not say what it is")
	}
	e = Entry{Name: name, Format: part.Format, About: part.Describes, Sum: Sum{SHA256: part.SHA256}}
	if e.Size, err = count(part.Size); err != nil {
		return e, fmt.Errorf("contentSize: %w", err)
	}
	if !IsDigest(e.SHA256) {
		return e, fmt.Errorf("sha256: not 64 small hexadecimal digits")
	}
	return e, nil
}

// count reads a number as this program writes it.
func count(text string) (int64, error) {
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < 0 || strconv.FormatInt(n, 10) != text {
		return 0, fmt.Errorf("%q is no number from 0 on", text)
	}
	return n, nil
}
