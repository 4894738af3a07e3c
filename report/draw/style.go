package draw

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Style is the part of a style sheet that drawings need: rules that name tags
// and classes, and give fills, strokes and type.
type Style struct {
	rules []rule
	names map[string]string // --name: value
}

type rule struct {
	tags, classes []string
	set           []declaration
}

type declaration struct{ name, value string }

var (
	cssComment = regexp.MustCompile(`(?s)/\*.*?\*/`)
	cssBlock   = regexp.MustCompile(`(?s)([^{}]*)\{([^{}]*)\}`)
)

// ParseStyle reads a style sheet. What is for a screen or a page (@media, @page)
// and what no drawing needs is passed over.
func ParseStyle(css string) *Style {
	s := &Style{names: map[string]string{}}
	for _, block := range cssBlock.FindAllStringSubmatch(withoutAt(cssComment.ReplaceAllString(css, "")), -1) {
		set := declarations(block[2])
		for _, selector := range strings.Split(block[1], ",") {
			selector = strings.TrimSpace(selector)
			if selector == ":root" {
				for _, one := range set {
					s.names[one.name] = one.value
				}
				continue
			}
			if r, ok := selected(selector); ok {
				r.set = set
				s.rules = append(s.rules, r)
			}
		}
	}
	slices.SortStableFunc(s.rules, func(a, b rule) int {
		if c := len(a.classes) - len(b.classes); c != 0 {
			return c
		}
		return len(a.tags) - len(b.tags)
	})
	return s
}

// withoutAt drops @ rules with all that is in their braces.
func withoutAt(css string) string {
	var kept strings.Builder
	depth, skipping := 0, false
	for _, r := range css {
		if r == '@' && depth == 0 {
			skipping = true
		}
		if !skipping {
			kept.WriteRune(r)
		}
		switch r {
		case '{':
			depth++
		case '}':
			depth = max(0, depth-1)
			skipping = skipping && depth > 0
		case ';':
			skipping = skipping && depth > 0
		}
	}
	return kept.String()
}

func declarations(text string) (set []declaration) {
	for _, one := range strings.Split(text, ";") {
		if name, value, ok := strings.Cut(one, ":"); ok {
			set = append(set, declaration{strings.TrimSpace(name), strings.TrimSpace(value)})
		}
	}
	return set
}

// selected reads a selector of tags and classes; others are about no drawing.
func selected(selector string) (r rule, ok bool) {
	if strings.ContainsAny(selector, ":>+*[#~") {
		return r, false
	}
	for _, compound := range strings.Fields(selector) {
		parts := strings.Split(compound, ".")
		if parts[0] != "" {
			r.tags = append(r.tags, parts[0])
		}
		r.classes = append(r.classes, parts[1:]...)
	}
	return r, len(r.tags)+len(r.classes) > 0
}

// element is a shape as the style sheet sees it: its tag and classes, and those of
// the drawing around it.
type element struct {
	style         *Style
	tags, classes []string
	own           int // classes before this one are those of the drawing
}

func (s *Style) element(tag, around, own string) element {
	outer := strings.Fields(around)
	return element{s, []string{"svg", tag}, append(outer, strings.Fields(own)...), len(outer)}
}

// value is what the style says of a property, empty where it says nothing.
func (e element) value(property string) (value string) {
	for k := range e.style.rules {
		r := &e.style.rules[k]
		if !within(r.tags, e.tags) || !within(r.classes, e.classes) || !r.ends(e.tags, e.classes[e.own:]) {
			continue
		}
		for _, one := range r.set {
			if one.name == property {
				value = one.value
			}
		}
	}
	return e.style.resolve(value)
}

// length is a property in units of the drawing.
func (e element) length(property string, otherwise float64) float64 {
	v, err := strconv.ParseFloat(strings.TrimSuffix(e.value(property), "px"), 64)
	if err != nil || v < 0 || v > 1e4 {
		return otherwise
	}
	return v
}

// lengths is a property of several, such as dashes; none where one is no length.
func (e element) lengths(property string) (values []float64) {
	for _, word := range strings.Fields(e.value(property)) {
		v, err := strconv.ParseFloat(word, 64)
		if err != nil || !(math.Abs(v) <= 1e6) {
			return nil
		}
		values = append(values, v)
	}
	return values
}

// fontSize is the size in the property "font".
func (e element) fontSize() float64 {
	for _, word := range strings.Fields(e.value("font")) {
		if v, err := strconv.ParseFloat(strings.TrimSuffix(word, "px"), 64); err == nil && strings.HasSuffix(word, "px") {
			return v
		}
	}
	return 14
}

// ends reports whether a rule is about the element itself: a rule that names
// only what is around it is about that.
func (r *rule) ends(tags, own []string) bool {
	for _, c := range r.classes {
		if slices.Contains(own, c) {
			return true
		}
	}
	return slices.Contains(r.tags, tags[len(tags)-1])
}

func within(some, all []string) bool {
	for _, one := range some {
		if !slices.Contains(all, one) {
			return false
		}
	}
	return true
}

func (s *Style) resolve(value string) string {
	if name, ok := strings.CutPrefix(value, "var("); ok {
		return s.names[strings.TrimSuffix(name, ")")]
	}
	return value
}

// Colour is a colour of red, green and blue, 0 to 255.
type Colour struct{ R, G, B int }

// Ink is a colour by the name that the style sheet gives it, black where it has none.
func (s *Style) Ink(name string) Colour {
	c, _ := colour(s.names["--"+name])
	return c
}

// hue is an ink by its name, or a colour by its digits.
func (s *Style) hue(text string) Colour {
	if c, err := colour(text); err == nil {
		return c
	}
	return s.Ink(text)
}

// Luminance returns how light a class is filled, 0 to 1, as a printer without
// colour sees it; false where the class has no plain fill.
func (s *Style) Luminance(class string) (float64, bool) {
	c, err := colour(s.element("path", "", class).value("fill"))
	if err != nil {
		return 0, false
	}
	return (0.299*float64(c.R) + 0.587*float64(c.G) + 0.114*float64(c.B)) / 255, true
}

// colour reads #rgb and #rrggbb.
func colour(text string) (Colour, error) {
	digits, ok := strings.CutPrefix(text, "#")
	if ok && len(digits) == 3 {
		digits = strings.Repeat(digits[:1], 2) + strings.Repeat(digits[1:2], 2) + strings.Repeat(digits[2:], 2)
	}
	n, err := strconv.ParseUint(digits, 16, 32)
	if !ok || len(digits) != 6 || err != nil {
		return Colour{}, fmt.Errorf("%q is no colour", text)
	}
	return Colour{int(n >> 16), int(n >> 8 & 0xff), int(n & 0xff)}, nil
}
