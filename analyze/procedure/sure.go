package procedure

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"arctally/acquire/quantity"
	"arctally/analyze/plausible"
)

// doubt holds a value against what is usual of it.
func doubt[Q quantity.Quantity](s section, key string, value Q, n *yaml.Node) {
	band, ok := plausible.Find[Q](s.path(key))
	if !ok {
		panic("procedure: nobody says what is usual of " + s.path(key))
	}
	if d := plausible.Check(band, s.path(key), value, n.Value); d != nil {
		s.doc.doubt(n, d)
	}
}

// doubt notes one doubt of a value; of two limits of a window, the first says it all.
func (d *document) doubt(n *yaml.Node, one *plausible.Doubt) {
	if slices.ContainsFunc(d.doubts, func(other *plausible.Doubt) bool { return other.Field == one.Field }) {
		return
	}
	one.Place = fmt.Sprintf("%s:%d:%d", d.file, n.Line, n.Column)
	d.doubts = append(d.doubts, one)
}

// Unsure returns the doubts of the job file and of the procedure as an error, with what
// keeps them; nil where there are none. The error is a *plausible.UnsureError.
func (j *Job) Unsure() error {
	doubts := j.Doubts()
	if len(doubts) == 0 {
		return nil
	}
	ways := make([]string, len(doubts))
	for k, d := range doubts {
		ways[k] = nested("sure."+d.Field, d.Value)
	}
	return &plausible.UnsureError{Doubts: doubts, How: strings.Join(ways, " and ") + ", in the file where the value stands"}
}

// nested writes a value below its key as the document has it: sure: {bore: {length: 9 m}}.
func nested(key, value string) string {
	names := strings.Split(key, ".")
	text := value
	for k, name := range slices.Backward(names) {
		if text = name + ": " + text; k > 0 {
			text = "{" + text + "}"
		}
	}
	return text
}

// settle holds the doubts against what the document says again on purpose. What it says
// so for nothing is an error: it would hide the next slip.
func (s section) settle() (t Typed) {
	said := map[string]*yaml.Node{}
	if n := s.values["sure"]; n != nil {
		s.doc.saidAgain(n, "", said)
	}
	for _, one := range s.doc.doubts {
		n := said[one.Field]
		switch {
		case n == nil:
			t.Doubts = append(t.Doubts, one)
		case strings.TrimSpace(n.Value) == one.Value:
			t.Kept = append(t.Kept, one)
		default:
			s.doc.fail(n, "sure.%s is %s, where %s is %s; write the value that is meant in both places", one.Field, n.Value, one.Field, one.Value)
		}
		delete(said, one.Field)
	}
	for _, field := range slices.Sorted(maps.Keys(said)) {
		s.doc.fail(said[field], "sure.%s keeps nothing: no value there is outside of what is usual; leave it out", field)
	}
	return t
}

// saidAgain gathers the values below a node by their keys in full.
func (d *document) saidAgain(n *yaml.Node, key string, said map[string]*yaml.Node) {
	switch n.Kind {
	case yaml.ScalarNode:
		if key == "" {
			d.fail(n, "sure must be key: value pairs, in the shape of the document")
			return
		}
		said[key] = n
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			d.saidAgain(n.Content[i+1], strings.TrimPrefix(key+"."+n.Content[i].Value, "."), said)
		}
	default:
		d.fail(n, "sure must be key: value pairs, in the shape of the document")
	}
}
