package handover

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Version is that of the bundle's layout.
const Version = 1

// Entry is a file as the manifest has it.
type Entry struct {
	Sum
	Name   string // from the folder of the bundle on, with slashes
	Format string // media type
	About  string // what it is, in a sentence
}

// Subject says which record is handed over, and in which state.
type Subject struct {
	Digest    string    // the head of the chain in hexadecimal digits, the name of the bundle
	Record    string    // the hash of its first commit: the same in every state of one record
	Commits   int64     // of two states of one record the later has more
	Job       string    // as people call it
	Procedure string    // by which it was judged
	Closed    time.Time // when the end mark was set
}

// Manifest is what a bundle says of itself.
type Manifest struct {
	Subject
	Files []Entry // in the order of their names
}

// Entry returns a file by its name.
func (m *Manifest) Entry(name string) (Entry, bool) {
	for _, e := range m.Files {
		if e.Name == name {
			return e, true
		}
	}
	return Entry{}, false
}

// The figures that a manifest has of its record, each an entity of its own.
const (
	layoutFigure  = "arctally-bundle"
	headFigure    = "arctally-head"
	judgedFigure  = "arctally-procedure"
	recordFigure  = "arctally-record"
	commitsFigure = "arctally-commits"
)

// words of the specification.
const (
	rootID       = "./"
	crateVersion = "https://w3id.org/ro/crate/1.1"
	crateContext = "https://w3id.org/ro/crate/1.1/context"
	sha256Term   = "https://schema.org/sha256"
	licence      = "No licence is stated: who may use these files is for those to agree who handed them over and who took them."
)

// crate is the manifest as it is written.
type crate struct {
	Context []any    `json:"@context"`
	Graph   []entity `json:"@graph"`
}

// entity is one object of the graph.
type entity struct {
	ID         string      `json:"@id"`
	Type       string      `json:"@type"`
	ConformsTo *reference  `json:"conformsTo,omitempty"`
	About      *reference  `json:"about,omitempty"`
	Name       string      `json:"name,omitempty"`
	Describes  string      `json:"description,omitempty"`
	Published  string      `json:"datePublished,omitempty"`
	License    string      `json:"license,omitempty"`
	Identifier []reference `json:"identifier,omitempty"`
	HasPart    []reference `json:"hasPart,omitempty"`
	Property   string      `json:"propertyID,omitempty"`
	Value      string      `json:"value,omitempty"`
	Size       string      `json:"contentSize,omitempty"`
	Format     string      `json:"encodingFormat,omitempty"`
	SHA256     string      `json:"sha256,omitempty"`
}

type reference struct {
	ID string `json:"@id"`
}

// closedForm is how the manifest writes a time: in UTC to the millisecond, as the specification allows.
const closedForm = "2006-01-02T15:04:05.000Z07:00"

// Bytes is the manifest as it stands in the bundle; the same one has the same bytes.
func (m *Manifest) Bytes() []byte {
	files := slices.SortedFunc(slices.Values(m.Files), func(a, b Entry) int { return strings.Compare(a.Name, b.Name) })
	root := entity{
		ID: rootID, Type: "Dataset", Name: m.Job, License: licence, Published: m.Closed.UTC().Format(closedForm),
		Describes: "The record of one repair by welding, closed, with what was made of it. The program flags; only a person accepts.",
	}
	c := crate{Context: []any{crateContext, map[string]string{"sha256": sha256Term}}}
	var figures, parts []entity
	for _, f := range []struct{ id, name, value string }{
		{layoutFigure, "version of the layout of this bundle", strconv.Itoa(Version)},
		{headFigure, "SHA-256 at the head of the record's chain, which names this bundle", m.Digest},
		{recordFigure, "SHA-256 of the record's first commit: which record it is", m.Record},
		{commitsFigure, "commits in the record; of two states of one record the later has more", strconv.FormatInt(m.Commits, 10)},
		{judgedFigure, "procedure by which the results were judged", m.Procedure},
	} {
		figures = append(figures, entity{ID: "#" + f.id, Type: "PropertyValue", Name: f.name, Property: f.id, Value: f.value})
		root.Identifier = append(root.Identifier, reference{"#" + f.id})
	}
	for _, e := range files {
		parts = append(parts, entity{ID: e.Name, Type: "File", Describes: e.About, Size: strconv.FormatInt(e.Size, 10), Format: e.Format, SHA256: e.SHA256})
		root.HasPart = append(root.HasPart, reference{e.Name})
	}
	self := entity{ID: ManifestName, Type: "CreativeWork", ConformsTo: &reference{crateVersion}, About: &reference{rootID}}
	c.Graph = slices.Concat([]entity{self, root}, figures, parts)
	return encode(c)
}

func encode(c crate) []byte {
	var text bytes.Buffer
	e := json.NewEncoder(&text)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(c); err != nil {
		panic("handover: " + err.Error()) // texts and numbers always encode
	}
	return text.Bytes()
}
