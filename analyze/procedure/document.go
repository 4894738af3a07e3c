package procedure

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"

	"arctally/acquire/foreign"
	"arctally/analyze/plausible"
)

// document gathers what is wrong in a file while it is read to its end.
type document struct {
	file   string
	kept   bool // it stands in a record: a text from before there was a limit is read, shortened
	errors Errors
	doubts []*plausible.Doubt
}

// longestReason is how many letters are said of an error: what is wrong may be a value of any
// length, of which nobody reads more. Ours, no source.
const longestReason = 600

// fail notes an error at a node.
func (d *document) fail(at *yaml.Node, format string, arg ...any) {
	reason := foreign.Shortened(fmt.Sprintf(format, arg...), longestReason)
	d.errors = append(d.errors, &Error{d.file, at.Line, at.Column, reason})
}

// start stands for the beginning of a file that has no node to point at.
var start = &yaml.Node{Line: 1, Column: 1}

// root reads the one YAML document of a file and returns its top node, or nil
// after noting why there is none.
func (d *document) root(text []byte) *yaml.Node {
	decoder := yaml.NewDecoder(bytes.NewReader(text))
	top, err := next(decoder)
	switch {
	case errors.Is(err, io.EOF) || err == nil && isEmpty(top):
		d.fail(start, "document is empty")
		return nil
	case err != nil:
		d.syntax(err)
		return nil
	}
	second, err := next(decoder)
	switch {
	case errors.Is(err, io.EOF):
		return top
	case err != nil:
		d.syntax(err)
	default:
		d.fail(second, "a second document begins here; write one document in a file")
	}
	return nil
}

// next decodes one document. The YAML library panics on a few broken texts; to
// whoever wrote the file that is a syntax error like any other.
func next(decoder *yaml.Decoder) (top *yaml.Node, err error) {
	defer func() {
		if problem := recover(); problem != nil {
			err = fmt.Errorf("yaml: %v", problem)
		}
	}()
	var n yaml.Node
	if err := decoder.Decode(&n); err != nil {
		return nil, err
	}
	if len(n.Content) == 0 {
		return &n, nil
	}
	return n.Content[0], nil
}

// isEmpty reports a document of nothing but comments, or null.
func isEmpty(n *yaml.Node) bool {
	return n.Kind == yaml.DocumentNode || n.Kind == yaml.ScalarNode && n.Tag == "!!null"
}

// syntaxPlace finds the line in the words of the YAML library, which tells no
// column, and no line for the first one.
var syntaxPlace = regexp.MustCompile(`^yaml: (?:line (\d+): )?`)

// parserProblem begins what the library says where it counts lines from 0; where
// a single character is at fault it counts them from 1.
const parserProblem = "did not find expected"

// syntax notes an error of the YAML library.
func (d *document) syntax(err error) {
	at := *start
	match := syntaxPlace.FindStringSubmatch(err.Error())
	if match == nil {
		d.fail(&at, "not YAML: %v", err)
		return
	}
	reason := err.Error()[len(match[0]):]
	if line, numberErr := strconv.Atoi(match[1]); numberErr == nil {
		at.Line = line
		if strings.HasPrefix(reason, parserProblem) {
			at.Line++
		}
	}
	d.fail(&at, "not YAML: %s", reason)
}

// section is a mapping whose keys are all known.
type section struct {
	doc    *document
	node   *yaml.Node // where to report a missing key
	name   string     // "" for the whole document
	values map[string]*yaml.Node
}

// section reads a mapping and notes unknown and repeated keys.
func (d *document) section(n *yaml.Node, name string, known ...string) section {
	s := section{doc: d, node: n, name: name, values: map[string]*yaml.Node{}}
	switch {
	case n.Kind == yaml.AliasNode:
		d.fail(n, "%s is an alias; write the values out", s.title())
	case n.Kind != yaml.MappingNode:
		d.fail(n, "%s must be key: value pairs", s.title())
	}
	if n.Kind != yaml.MappingNode {
		s.values = nil
		return s
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		s.add(n.Content[i], n.Content[i+1], known)
	}
	return s
}

// add takes one pair of the mapping.
func (s section) add(key, value *yaml.Node, known []string) {
	first, seen := s.values[key.Value]
	switch {
	case key.Kind != yaml.ScalarNode:
		s.doc.fail(key, "%s has a key that is not a word", s.title())
	case !slices.Contains(known, key.Value):
		s.doc.fail(key, "%s has no key %q; %s", s.title(), key.Value, suggestion(key.Value, known))
	case seen:
		s.doc.fail(key, "%s is written twice; its first value is at %d:%d", s.path(key.Value), first.Line, first.Column)
	default:
		s.values[key.Value] = value
	}
}

// title names the section in a sentence.
func (s section) title() string {
	if s.name == "" {
		return "the document"
	}
	return s.name
}

// path names a key in full.
func (s section) path(key string) string {
	if s.name == "" {
		return key
	}
	return s.name + "." + key
}

// need notes every key that is missing. A section that is no mapping has been
// reported as such, and misses nothing more.
func (s section) need(keys ...string) {
	for _, key := range keys {
		if s.values != nil && s.values[key] == nil {
			s.doc.fail(s.node, "%s is missing", s.path(key))
		}
	}
}

// sub reads the section under a key; ok is false where the key is missing.
func (s section) sub(key string, known ...string) (sub section, ok bool) {
	n := s.values[key]
	if n == nil {
		return section{}, false
	}
	return s.doc.section(n, s.path(key), known...), true
}

// list returns the elements of the sequence under a key.
func (s section) list(key string) []*yaml.Node {
	n := s.values[key]
	if n == nil {
		return nil
	}
	if n.Kind != yaml.SequenceNode {
		s.doc.fail(n, "%s must be a list: [...]", s.path(key))
		return nil
	}
	return n.Content
}
