package page

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestNames: no name leads out of a folder, is hidden in it, or is endless.
func TestNames(t *testing.T) {
	digest := strings.Repeat("0af", 21) + "9"
	for name, want := range map[string]struct{ file, record, digest bool }{
		"boom-pin.2":             {file: true, record: true},
		"0":                      {file: true, record: true},
		"Boom pin":               {record: true},
		"boom pin":               {record: true},
		"":                       {},
		".boom":                  {},
		"-boom":                  {},
		"..":                     {},
		"a/b":                    {},
		`a\b`:                    {},
		"a\n":                    {},
		"a\x00":                  {},
		"bögen":                  {},
		strings.Repeat("a", 80):  {file: true, record: true},
		strings.Repeat("a", 81):  {record: true},
		strings.Repeat("a", 100): {record: true},
		strings.Repeat("a", 101): {},
		digest:                   {file: true, record: true, digest: true},
		digest[1:]:               {file: true, record: true},
		digest + "0":             {file: true, record: true},
		strings.ToUpper(digest):  {record: true},
		"g" + digest[1:]:         {file: true, record: true},
	} {
		assert.Equal(t, want.file, FileName(name), "file %q", name)
		assert.Equal(t, want.record, RecordName(name), "record %q", name)
		assert.Equal(t, want.digest, digestText(name), "photograph %q", name)
	}
}
