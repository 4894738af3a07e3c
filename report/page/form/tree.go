package form

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

const (
	deepest      = 8   // parts of a key
	mostRepeated = 999 // times that a part may stand
)

// place is where a node begins in a text.
type place struct{ line, column int }

func placeOf(n *yaml.Node) place { return place{n.Line, n.Column} }

// tree is a document with its values by key.
type tree struct {
	document *yaml.Node // nil where the text holds nothing
	values   map[string]*yaml.Node
	leaves   map[place]string // keys, by where a name or a value begins
	parts    map[place]string // keys of mappings and lists, by where they begin
	seen     map[string]bool  // names, in full
}

func newTree() *tree {
	return &tree{values: map[string]*yaml.Node{}, leaves: map[place]string{}, parts: map[place]string{}, seen: map[string]bool{}}
}

// read reads the first document of a text.
func read(text []byte) (*tree, error) {
	t := newTree()
	document, err := decode(text)
	switch {
	case errors.Is(err, io.EOF):
		return t, nil
	case err != nil:
		return nil, err
	}
	if len(document.Content) == 1 && !isNull(document.Content[0]) {
		t.document = document
		t.walk("", document.Content[0], 0)
	}
	return t, nil
}

// decode guards against the YAML library, which panics on a few broken texts.
func decode(text []byte) (n *yaml.Node, err error) {
	defer func() {
		if problem := recover(); problem != nil {
			err = fmt.Errorf("yaml: %v", problem)
		}
	}()
	n = &yaml.Node{}
	err = yaml.NewDecoder(bytes.NewReader(text)).Decode(n)
	return n, err
}

func isNull(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && (n.Tag == "!!null" || strings.TrimSpace(n.Value) == "")
}

// walk notes what stands below a key.
func (t *tree) walk(key string, n *yaml.Node, depth int) {
	switch {
	case depth > deepest:
	case n.Kind == yaml.MappingNode:
		t.note(t.parts, n, key)
		for i := 0; i+1 < len(n.Content); i += 2 {
			t.pair(key, n.Content[i], n.Content[i+1], depth)
		}
	case n.Kind == yaml.SequenceNode:
		t.note(t.parts, n, key)
		for i, element := range n.Content[:min(len(n.Content), mostRepeated)] {
			t.walk(join(key, strconv.Itoa(i)), element, depth+1)
		}
	default:
		t.note(t.leaves, n, key)
		if n.Kind == yaml.ScalarNode && !isNull(n) && key != "" {
			t.values[key] = n
		}
	}
}

// pair notes what stands under a name. Of a name that stands twice the first
// counts, as with the parser.
func (t *tree) pair(key string, name, value *yaml.Node, depth int) {
	if !isName(name) {
		return
	}
	full := join(key, name.Value)
	t.note(t.leaves, name, full)
	if !t.seen[full] {
		t.seen[full] = true
		t.walk(full, value, depth+1)
	}
}

func (t *tree) note(in map[place]string, n *yaml.Node, key string) {
	if _, taken := in[placeOf(n)]; !taken {
		in[placeOf(n)] = key
	}
}

// isName tells whether a name can be a part of a key.
func isName(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Value != "" && !strings.ContainsAny(n.Value, ".\n")
}

// texts returns the values as text.
func (t *tree) texts() map[string]string {
	all := make(map[string]string, len(t.values))
	for key, n := range t.values {
		all[key] = strings.TrimSpace(n.Value)
	}
	return all
}

func join(key, name string) string {
	if key == "" {
		return name
	}
	return key + "." + name
}

// indexOf reads the number of a repeated part.
func indexOf(text string) (int, bool) {
	n, err := strconv.Atoi(text)
	return n, err == nil && n >= 0 && n < mostRepeated && strconv.Itoa(n) == text
}

// child returns the node under a name or a number; nil where there is none.
func child(n *yaml.Node, name string) *yaml.Node {
	switch n.Kind {
	case yaml.MappingNode:
		if i := nameAt(n, name); i >= 0 {
			return n.Content[i+1]
		}
	case yaml.SequenceNode:
		if i, ok := indexOf(name); ok && i < len(n.Content) {
			return n.Content[i]
		}
	}
	return nil
}

// nameAt returns where a name stands in a mapping, below 0 where it does not.
func nameAt(mapping *yaml.Node, name string) int {
	for i := 0; i+1 < len(mapping.Content); i += 2 {
		if isName(mapping.Content[i]) && mapping.Content[i].Value == name {
			return i
		}
	}
	return -1
}

// encode writes the tree.
func (t *tree) encode() (text []byte, err error) {
	defer func() {
		if problem := recover(); problem != nil {
			err = fmt.Errorf("yaml: %v", problem)
		}
	}()
	var b bytes.Buffer
	encoder := yaml.NewEncoder(&b)
	encoder.SetIndent(2)
	err = encoder.Encode(t.document)
	return slices.Clone(b.Bytes()), errors.Join(err, encoder.Close())
}
