package procedure

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v3"

	"arctally/acquire/foreign"
	"arctally/acquire/quantity"
)

// scalar returns the single value under a key; nil where it is missing, or
// where it is reported as none.
func (s section) scalar(key string) *yaml.Node {
	n := s.values[key]
	switch {
	case n == nil:
		return nil
	case n.Kind == yaml.AliasNode:
		s.doc.fail(n, "%s is an alias; write the value out", s.path(key))
	case n.Kind != yaml.ScalarNode:
		s.doc.fail(n, "%s must be a single value", s.path(key))
	case n.Tag == "!!null" || strings.TrimSpace(n.Value) == "":
		s.doc.fail(n, "%s has no value", s.path(key))
	default:
		return n
	}
	return nil
}

// text returns the words under a key.
func (s section) text(key string) string {
	n := s.scalar(key)
	if n == nil {
		return ""
	}
	text := strings.TrimSpace(n.Value)
	if err := foreign.Fits(s.path(key), text, foreign.LongestName); err != nil && !s.doc.kept {
		s.doc.fail(n, "%v", err)
	}
	return foreign.Shortened(text, foreign.LongestName)
}

// choice returns the word under a key, which must be one of a few.
func (s section) choice(key string, words ...string) string {
	n := s.scalar(key)
	if n == nil {
		return ""
	}
	if !slices.Contains(words, n.Value) {
		s.doc.fail(n, "%s cannot be %q; write %s", s.path(key), n.Value, oneOf(words))
		return ""
	}
	return n.Value
}

// value returns the quantity under a key, and the node it stands at: nil where
// there is none to judge further.
func value[Q quantity.Quantity](s section, key string) (Q, *yaml.Node) {
	n := s.scalar(key)
	if n == nil {
		return 0, nil
	}
	q, err := quantity.Parse[Q](n.Value)
	if err != nil {
		s.doc.fail(n, "%s %v", s.path(key), err)
		return 0, nil
	}
	doubt(s, key, q, n)
	return q, n
}

// positive returns a quantity above zero, or zero where the key is missing.
func positive[Q quantity.Quantity](s section, key string) Q {
	q, n := value[Q](s, key)
	if n != nil && q <= 0 {
		s.doc.fail(n, "%s must be above zero, not %s", s.path(key), n.Value)
		return 0
	}
	return q
}

// notNegative returns a quantity of zero or more, or the default where the key
// is missing.
func notNegative[Q quantity.Quantity](s section, key string, otherwise Q) Q {
	q, n := value[Q](s, key)
	switch {
	case n == nil:
		return otherwise
	case q < 0:
		s.doc.fail(n, "%s cannot be below zero, as %s is", s.path(key), n.Value)
		return otherwise
	default:
		return q
	}
}

// positiveOr returns a quantity above zero, or the default where the key is
// missing.
func positiveOr[Q quantity.Quantity](s section, key string, otherwise Q) Q {
	if s.values[key] == nil {
		return otherwise
	}
	return positive[Q](s, key)
}

// percent returns a share of the whole, 0 to 100 %. It must be written with its
// sign: 0.5 alone could be meant either way.
func percent(s section, key string, otherwise quantity.Ratio) quantity.Ratio {
	share, n := value[quantity.Ratio](s, key)
	switch {
	case n == nil:
		return otherwise
	case !strings.HasSuffix(strings.TrimSpace(n.Value), "%"):
		s.doc.fail(n, "%s %q: no unit; write it in %%", s.path(key), n.Value)
	case share < 0 || share > 1:
		s.doc.fail(n, "%s must be from 0 to 100 %%, not %s", s.path(key), n.Value)
	default:
		return share
	}
	return otherwise
}

// window returns the limits under a key, of a quantity that has no values below
// a lowest one.
func window[Q quantity.Quantity](s section, key string, lowest Q) quantity.Range[Q] {
	n := s.scalar(key)
	if n == nil {
		return quantity.Range[Q]{}
	}
	r, err := quantity.ParseRange[Q](n.Value)
	if err != nil {
		s.doc.fail(n, "%s %v", s.path(key), err)
		return quantity.Range[Q]{}
	}
	if r.HasLow && r.Low < lowest || r.HasHigh && r.High <= lowest {
		s.doc.fail(n, "%s %q: there are no values down there", s.path(key), n.Value)
		return quantity.Range[Q]{}
	}
	for _, limit := range []struct {
		is bool
		at Q
	}{{r.HasLow, r.Low}, {r.HasHigh, r.High}} {
		if limit.is {
			doubt(s, key, limit.at, n)
		}
	}
	return r
}
