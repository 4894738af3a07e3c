package seal

import (
	"encoding/base64"
	"fmt"
	"slices"
	"strings"
)

// Signer is a name, and a key that one trusts to be his.
type Signer struct {
	Names []string
	Key   Public
}

// Line is the signer as it stands in a file of allowed signers.
func (s Signer) Line() string {
	return fmt.Sprintf("%q namespaces=%q %s", strings.Join(s.Names, ","), Namespace, s.Key)
}

// Signer returns whose the key is.
func (k *Key) Signer() Signer { return Signer{[]string{k.Name}, k.Public()} }

// ParseSigners reads a file of allowed signers. Lines of keys of other kinds, and those
// for other purposes, are left out; one that restricts a key in a way that is not known
// here is refused.
func ParseSigners(file string) ([]Signer, error) {
	var all []Signer
	number := 0
	for line := range strings.Lines(file) {
		number++
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		s, ours, err := parseSigner(line)
		if err != nil {
			return nil, fmt.Errorf("line %d of the signers: %w", number, err)
		}
		if ours {
			all = append(all, s)
		}
	}
	return all, nil
}

func parseSigner(line string) (s Signer, ours bool, err error) {
	words, err := wordsOf(line)
	if err != nil {
		return s, false, err
	}
	if len(words) < 3 {
		return s, false, fmt.Errorf("a line is NAMES [OPTIONS] KIND KEY")
	}
	s.Names = strings.Split(words[0], ",")
	ours = true
	at := 1
	if !strings.HasPrefix(words[1], "ssh-") && !strings.HasPrefix(words[1], "ecdsa-") && !strings.HasPrefix(words[1], "sk-") {
		spaces, known := strings.CutPrefix(words[1], "namespaces=")
		if !known || strings.Contains(spaces, "=") {
			return s, false, fmt.Errorf("the option %q is not known here", words[1])
		}
		ours = slices.Contains(strings.Split(spaces, ","), Namespace)
		at++
	}
	if len(words) < at+2 {
		return s, false, fmt.Errorf("a line is NAMES [OPTIONS] KIND KEY")
	}
	if words[at] != keyType {
		return s, false, nil
	}
	blob, err := base64.StdEncoding.DecodeString(words[at+1])
	if err == nil && len(blob) == len(Public{}.blob()) {
		copy(s.Key[:], blob[len(blob)-len(s.Key):])
	}
	if string(s.Key.blob()) != string(blob) {
		return s, false, fmt.Errorf("no key of the kind %s", keyType)
	}
	return s, ours, nil
}

// wordsOf parts a line at its spaces, but not within quotes.
func wordsOf(line string) (words []string, err error) {
	var word strings.Builder
	within, begun := false, false
	for _, r := range line {
		switch {
		case r == '"':
			within, begun = !within, true
		case !within && (r == ' ' || r == '\t'):
			if begun {
				words = append(words, word.String())
			}
			word.Reset()
			begun = false
		default:
			word.WriteRune(r)
			begun = true
		}
	}
	if within {
		return nil, fmt.Errorf("a quote that does not end")
	}
	if begun {
		words = append(words, word.String())
	}
	return words, nil
}
