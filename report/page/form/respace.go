package form

import (
	"bytes"
	"slices"
	"strings"
)

// respace puts the empty lines of the old text back into the new one, from which
// the YAML library leaves them out: before the line that looks like the one that
// they stood before.
func respace(old, text []byte) []byte {
	wanted := spaced(old)
	var b bytes.Buffer
	for line := range bytes.Lines(text) {
		if at := slices.Index(wanted, looks(line)); at >= 0 {
			if b.Len() > 0 && !bytes.HasSuffix(b.Bytes(), []byte("\n\n")) {
				b.WriteByte('\n')
			}
			wanted = slices.Delete(wanted, at, at+1)
		}
		b.Write(line)
	}
	return b.Bytes()
}

// spaced returns the looks of the lines that stand after an empty one.
func spaced(text []byte) (all []string) {
	empty := false
	for line := range bytes.Lines(text) {
		look := looks(line)
		if empty && look != "" {
			all = append(all, look)
		}
		empty = look == ""
	}
	return all
}

// looks is what a line keeps when its value changes: its comment, or its name.
func looks(line []byte) string {
	look := strings.Join(strings.Fields(string(line)), " ")
	if strings.HasPrefix(look, "#") {
		return look
	}
	name, _, _ := strings.Cut(look, ":")
	return name
}
