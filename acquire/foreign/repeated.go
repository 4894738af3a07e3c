package foreign

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
)

// RepeatedError is a JSON text in which a key stands twice in one object: who reads the first of
// the two sees something else than who reads the last.
type RepeatedError struct{ Key string }

// Error implements error.
func (e *RepeatedError) Error() string { return fmt.Sprintf("the key %q stands twice", e.Key) }

// Hint says what to do.
func (*RepeatedError) Hint() string {
	return "nobody writes that by mistake: ask where the text comes from"
}

// OneOfEach refuses JSON in which a key stands twice in one object, in whatever case of its
// letters, for our fields are found in any. What is no JSON is left to who decodes it.
func OneOfEach(text []byte) error {
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	var open []map[string]bool // the keys of each object that is open; nil is a list
	key := false               // the next text is a key
	for {
		token, err := decoder.Token()
		if err != nil {
			return nil
		}
		switch token {
		case json.Delim('{'):
			open, key = append(open, map[string]bool{}), true
			continue
		case json.Delim('['):
			open, key = append(open, nil), false
			continue
		case json.Delim('}'), json.Delim(']'):
			open = open[:len(open)-1]
		default:
			if key {
				name := token.(string)                                                  // the decoder lets nothing else stand there
				keys, same := open[len(open)-1], strings.ToLower(strings.ToUpper(name)) // of a long s too, which is found as an s
				if keys[same] {
					return &RepeatedError{name}
				}
				keys[same], key = true, false
				continue
			}
		}
		key = len(open) > 0 && open[len(open)-1] != nil
	}
}
