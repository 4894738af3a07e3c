package form

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"
)

// add puts a value where there was none.
func (c *change) add(key, value string) {
	if c.tree.document == nil {
		c.tree.document = &yaml.Node{Kind: yaml.DocumentNode, Content: []*yaml.Node{{Kind: yaml.MappingNode}}}
	}
	n, names := c.tree.document.Content[0], path(key)
	for i := range names {
		next := c.step(n, names[:i+1], i == len(names)-1)
		if next == nil {
			c.refuse(key, strings.Join(names[:max(i, 1)], ".")+" in the file does not hold values of this form; change the file with a text editor")
			return
		}
		n = next
	}
	*n = yaml.Node{Kind: yaml.ScalarNode, HeadComment: n.HeadComment, LineComment: n.LineComment, FootComment: n.FootComment}
	set(n, value)
	c.tree.values[key] = n
}

// step goes down by one name, and makes what is missing; nil where there is no way.
func (c *change) step(n *yaml.Node, names []string, last bool) *yaml.Node {
	name, key := names[len(names)-1], strings.Join(names, ".")
	if made := c.fresh[key]; made != nil {
		return made
	}
	found := child(n, name)
	switch {
	case n.Kind != yaml.MappingNode && n.Kind != yaml.SequenceNode:
		return nil
	case found != nil && (last || !isNull(found)):
		if last && found.Kind != yaml.ScalarNode {
			return nil
		}
		return found
	case found == nil:
		found = &yaml.Node{}
		c.insert(n, names, found)
	}
	c.shape(found, names)
	c.fresh[key] = found
	return found
}

// shape makes a new part a mapping or a list. The elements of a list stand each on
// a line of its own.
func (c *change) shape(n *yaml.Node, names []string) {
	n.Kind, n.Tag, n.Value, n.Style = yaml.MappingNode, "", "", 0
	if slices.ContainsFunc(c.form.Groups, func(g Group) bool { return g.Repeated == strings.Join(names, ".") }) {
		n.Kind = yaml.SequenceNode
	}
	if _, counted := indexOf(names[len(names)-1]); counted {
		n.Style = yaml.FlowStyle
	}
}

// insert puts a new node into a mapping, in the order of the form, or at the end
// of a list.
func (c *change) insert(n *yaml.Node, names []string, added *yaml.Node) {
	if n.Kind == yaml.SequenceNode {
		n.Content = append(n.Content, added)
		return
	}
	rank, at := c.rank(names), 0
	for i := 0; i+1 < len(n.Content); i += 2 {
		before := append(slices.Clone(names[:len(names)-1]), n.Content[i].Value)
		if c.rank(before) <= rank {
			at = i + 2
		}
	}
	name := &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: names[len(names)-1]}
	n.Content = slices.Insert(n.Content, at, name, added)
}

// rank is where a key stands in the form; below 0 where it does not.
func (c *change) rank(names []string) int {
	rank := 0
	for _, group := range c.form.Groups {
		for _, field := range group.Fields {
			full := field.Key
			if group.Repeated != "" {
				full = group.Repeated + ".0." + field.Key
			}
			if under(path(full), names) {
				return rank
			}
			rank++
		}
	}
	return -1
}

// under tells whether a key is that of a part or stands below it; one number is
// as good as another.
func under(key, part []string) bool {
	if len(key) < len(part) {
		return false
	}
	for i := range part {
		_, counted := indexOf(part[i])
		_, both := indexOf(key[i])
		if key[i] != part[i] && !(counted && both) {
			return false
		}
	}
	return true
}
