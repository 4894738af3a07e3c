package form

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// remove takes a value out. The parts that held it are looked at in the end, so
// that numbers do not shift meanwhile.
func (c *change) remove(names []string) {
	n := c.tree.document.Content[0]
	for _, name := range names[:len(names)-1] {
		c.emptied[n] = true
		n = child(n, name)
	}
	c.emptied[n] = true
	delete(c.tree.values, strings.Join(names, "."))
	last := names[len(names)-1]
	if n.Kind == yaml.SequenceNode {
		set(child(n, last), "")
		return
	}
	takeOut(n, nameAt(n, last))
}

// takeOut removes a pair of a mapping, and hands its comments to the pair after it,
// or before it.
func takeOut(n *yaml.Node, at int) {
	name, value := n.Content[at], n.Content[at+1]
	said := strings.Join(slices.DeleteFunc(
		[]string{name.HeadComment, name.LineComment, value.HeadComment, value.LineComment, value.FootComment, name.FootComment},
		func(comment string) bool { return comment == "" },
	), "\n")
	n.Content = slices.Delete(n.Content, at, at+2)
	switch {
	case said == "" || n.Style&yaml.FlowStyle != 0 || len(n.Content) == 0:
	case at < len(n.Content):
		n.Content[at].HeadComment = strings.TrimSuffix(said+"\n"+n.Content[at].HeadComment, "\n")
	default:
		n.Content[at-2].FootComment = strings.TrimPrefix(n.Content[at-2].FootComment+"\n"+said, "\n")
	}
}

// sweep removes parts below a node that were emptied, and tells whether the node
// itself holds nothing any more.
func (c *change) sweep(n *yaml.Node) bool {
	if !c.emptied[n] {
		return false
	}
	switch n.Kind {
	case yaml.MappingNode:
		for i := len(n.Content) - 2; i >= 0; i -= 2 {
			if c.sweep(n.Content[i+1]) {
				takeOut(n, i)
			}
		}
	case yaml.SequenceNode:
		n.Content = slices.DeleteFunc(n.Content, func(element *yaml.Node) bool {
			return c.sweep(element) || element.Kind == yaml.ScalarNode && element.Value == ""
		})
	}
	return len(n.Content) == 0
}
