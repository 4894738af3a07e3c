package form

import (
	"bytes"
	"maps"

	"go.yaml.in/yaml/v3"
)

// write returns the text of the tree. It reads it back, and takes no text that
// would say something else.
func (c *change) write(old []byte) ([]byte, bool) {
	root := c.tree.document.Content[0]
	if c.sweep(root) {
		root.Style = yaml.FlowStyle // nothing is left
	}
	text, err := c.tree.encode()
	if err != nil {
		return nil, false
	}
	if was, err := read(old); err == nil && was.document == nil {
		text = append(ended(old), text...)
	}
	wanted := newTree()
	wanted.walk("", root, 0)
	for _, text := range [][]byte{respace(old, text), text} {
		if back, err := read(text); err == nil && maps.Equal(wanted.texts(), back.texts()) {
			return text, true
		}
	}
	return nil, false
}

// ended ends a text with a new line, if it holds anything.
func ended(text []byte) []byte {
	if len(bytes.TrimSpace(text)) == 0 {
		return nil
	}
	return append(bytes.TrimRight(text, "\n"), '\n')
}
