package form

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v3"
)

// longestValue is the most bytes that a value may have.
const longestValue = 1000

// Apply puts values into a text: one that is there is changed in its place, one
// that is not is added in its section, an empty one is taken out. Comments and
// order stay, and so does every value that is not named. A text without a
// document stands for a new file. A number with a decimal comma is written with a
// point.
//
// Under sure. and its key a value is said again on purpose. That goes with the value:
// where the value becomes another one, it is taken out.
//
// What the strict parser refuses in the result comes back as problems; then the
// text is not to be kept.
func Apply(kind Kind, text []byte, values map[string]string) ([]byte, []Problem) {
	t, err := read(text)
	if err != nil {
		return text, check(kind, text)
	}
	c := change{form: Of(kind), tree: t, fresh: map[string]*yaml.Node{}, emptied: map[*yaml.Node]bool{}}
	values = c.typed(values)
	for _, key := range slices.SortedFunc(maps.Keys(values), byPath) {
		c.put(key, values[key])
	}
	if c.problems != nil {
		return text, c.problems
	}
	if !c.changed {
		return text, check(kind, text)
	}
	changed, ok := c.write(text)
	if !ok {
		return text, []Problem{{Reason: "the file is written in a way that cannot be changed from here; change it with a text editor"}}
	}
	if begin := c.firstStroke(kind, changed); begin != "" {
		return Apply(kind, changed, map[string]string{startAngle: begin})
	}
	return changed, check(kind, changed)
}

// byPath orders keys so that repeated parts come in the order of their numbers.
func byPath(a, b string) int {
	return slices.CompareFunc(path(a), path(b), func(a, b string) int {
		i, counted := indexOf(a)
		j, both := indexOf(b)
		if counted && both {
			return cmp.Compare(i, j)
		}
		return cmp.Compare(a, b)
	})
}

// change is values that are being put into a tree.
type change struct {
	form     Form
	tree     *tree
	fresh    map[string]*yaml.Node // parts that were added, by the key under which they were asked for
	emptied  map[*yaml.Node]bool   // parts that lost a value
	changed  bool
	problems []Problem
}

func (c *change) refuse(key, reason string) {
	c.problems = append(c.problems, Problem{Field: key, Reason: reason})
}

// put brings one value into the tree.
func (c *change) put(key, value string) {
	old := c.tree.values[key]
	_, known := c.form.fieldOf(strings.TrimPrefix(key, sure))
	switch {
	case old != nil && strings.TrimSpace(old.Value) == value, old == nil && value == "":
	case old == nil && !known:
		c.refuse(key, "there is no such field")
	case value == "":
		c.changed = true
		c.remove(path(key))
	case !utf8.ValidString(value) || strings.ContainsFunc(value, unicode.IsControl):
		c.refuse(key, "it must be one line of text")
	case len(value) > longestValue:
		c.refuse(key, "it is too long")
	case old != nil:
		c.changed = true
		set(old, value)
	default:
		c.changed = true
		c.add(key, value)
	}
}

// plain are values that YAML takes for something else than text, which the parser
// does not mind: they need no quotes.
var plain = regexp.MustCompile(`^([-+]?[0-9]*\.?[0-9]+|[0-9]{4}-[0-9]{2}-[0-9]{2})$`)

// set changes a scalar; it keeps its quotes.
func set(n *yaml.Node, value string) {
	n.Value, n.Tag = value, "!!str"
	n.Style &= yaml.DoubleQuotedStyle | yaml.SingleQuotedStyle
	if plain.MatchString(value) {
		n.Tag = ""
	}
}
