package formula

import (
	"maps"
	"slices"
	"strings"

	"arctally/acquire/quantity"
)

// read takes the key=value pairs of a formula: each key once, none that it does
// not know, none missing that it needs.
func (f Formula) read(pairs []string) (*input, error) {
	in := &input{formula: f.Name, values: map[string]string{}}
	for _, pair := range pairs {
		key, value, ok := strings.Cut(pair, "=")
		switch {
		case !ok:
			return nil, misuse("%q is not key=value; %s takes %s", pair, f.Name, f.keyList())
		case !f.knows(key):
			return nil, misuse("%s has no key %q; it takes %s", f.Name, key, f.keyList())
		case in.has(key):
			return nil, misuse("%s stands twice", key)
		}
		in.values[key] = value
	}
	if err := quantity.Alike(slices.Collect(maps.Values(in.values))...); err != nil {
		return nil, misuse("%s: %v", f.Name, err)
	}
	var missing []string
	for _, key := range f.keys {
		if !key.optional && !in.has(key.name) {
			missing = append(missing, key.name+"=")
		}
	}
	if len(missing) > 0 {
		return nil, misuse("%s needs %s; it takes %s", f.Name, strings.Join(missing, " "), f.keyList())
	}
	return in, nil
}

func (f Formula) knows(key string) bool {
	for _, k := range f.keys {
		if k.name == key {
			return true
		}
	}
	return false
}

// keyList shows the keys as they are written; optional ones in brackets.
func (f Formula) keyList() string {
	if len(f.ways) > 0 {
		return strings.Join(f.ways, ", or ")
	}
	words := make([]string, len(f.keys))
	for i, k := range f.keys {
		words[i] = k.name + "="
		if k.optional {
			words[i] = "[" + words[i] + "]"
		}
	}
	return strings.Join(words, " ")
}
