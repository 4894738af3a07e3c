package layout

import (
	"fmt"
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

// Value returns what the style says of a property for an element with those tags
// and classes, its own and those around it.
func (s *Style) value(tags, classes []string, own int, property string) string {
	value := ""
	for k := range s.rules {
		r := &s.rules[k]
		if !within(r.tags, tags) || !within(r.classes, classes) || !r.ends(tags, classes[own:]) {
			continue
		}
		for _, one := range r.set {
			if one.name == property {
				value = one.value
			}
		}
	}
	return s.resolve(value)
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

// Luminance returns how light a class is filled, 0 to 1, as a printer without
// colour sees it; false where the class has no plain fill.
func (s *Style) Luminance(class string) (float64, bool) {
	c, err := colour(s.value([]string{"svg", "path"}, strings.Fields(class), 0, "fill"))
	if err != nil {
		return 0, false
	}
	return (0.299*float64(c.r) + 0.587*float64(c.g) + 0.114*float64(c.b)) / 255, true
}

// colour reads #rgb and #rrggbb.
func colour(text string) (rgb, error) {
	digits, ok := strings.CutPrefix(text, "#")
	if ok && len(digits) == 3 {
		digits = strings.Repeat(digits[:1], 2) + strings.Repeat(digits[1:2], 2) + strings.Repeat(digits[2:], 2)
	}
	n, err := strconv.ParseUint(digits, 16, 32)
	if !ok || len(digits) != 6 || err != nil {
		return rgb{}, fmt.Errorf("%q is no colour", text)
	}
	return rgb{int(n >> 16), int(n >> 8 & 0xff), int(n & 0xff)}, nil
}
