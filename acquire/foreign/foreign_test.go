package foreign

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestVisible(t *testing.T) {
	for text, want := range map[string]string{
		"plain, ä 漢 ± µ\nand\ttabs": "plain, ä 漢 ± µ\nand\ttabs",
		"\x1b[31m":                  `\u001b[31m`,
		"a\rb\x00\x7f":              `a\u000db\u0000\u007f`,
		"\u009b2J":                  `\u009b2J`,
		"\u202eevil\u202c":          `\u202eevil\u202c`,
		"\u2066x\u2069":             `\u2066x\u2069`,
		"a\u200bb\u200d\ufeff":      `a\u200bb\u200d\ufeff`,
		"\u2028\u2029":              `\u2028\u2029`,
		"\u00adsoft\u3164\u034f":    `\u00adsoft\u3164\u034f`,
		"\U000e0041":                `\udb40\udc41`,
		"no text: \xff\x9b":         "no text: \ufffd\ufffd",
	} {
		assert.Equal(t, want, Visible(text))
	}
	assert.Equal(t, `a\nhint: b\tc`, Line("a\nhint: b\tc"))
}

type word string

type named struct{ name string }

func (n *named) String() string { return n.name }

func TestArgs(t *testing.T) {
	assert.Equal(t, []any{`a\nb`, `\u001b`, 3, "first\n  hint: second", time.Second, nil, `x\u0007`, []byte("raw\n")},
		Args("a\nb", word("\x1b"), 3, errors.New("first\nhint: second"), time.Second, nil, &named{"x\a"}, []byte("raw\n")))
}

// However a text is divided, the same comes out; and JSON means what it meant.
func TestWriter(t *testing.T) {
	text := "a\x1b[2J ä\u202e漢 \U000e0041 \xff\xf0\x9f"
	for size := 1; size <= len(text); size++ {
		var b bytes.Buffer
		w := NewWriter(&b)
		for from := 0; from < len(text); from += size {
			n, err := w.Write([]byte(text[from:min(from+size, len(text))]))
			require.NoError(t, err)
			require.Equal(t, min(size, len(text)-from), n)
		}
		require.NoError(t, w.Flush())
		require.NoError(t, w.Flush(), "once is enough")
		require.Equal(t, Visible(text), b.String(), size)
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("gone") }

func TestWriter_Broken(t *testing.T) {
	w := NewWriter(broken{})
	_, err := w.Write([]byte("plain"))
	assert.EqualError(t, err, "gone")
	_, err = w.Write([]byte("\x1b"))
	assert.EqualError(t, err, "gone")
}

// Nothing hidden comes through, in whatever pieces it comes; what is seen stays as it is;
// and a JSON text means the same as before.
func FuzzWriter(f *testing.F) {
	f.Add("\x1b]0;x\a\u202e\r\n", 3)
	f.Add("ä\U000e0041\xf0\x9f\x98", 2)
	f.Fuzz(func(t *testing.T, text string, cut int) {
		var b, j bytes.Buffer
		w := NewWriter(&b)
		cut = max(0, min(cut, len(text)))
		_, _ = w.Write([]byte(text[:cut]))
		_, _ = w.Write([]byte(text[cut:]))
		require.NoError(t, w.Flush())
		require.True(t, utf8.Valid(b.Bytes()))
		require.False(t, strings.ContainsFunc(b.String(), IsHidden))
		require.Equal(t, Visible(text), b.String())
		require.Equal(t, Visible(text), Visible(Visible(text)))
		require.NotContains(t, Line(text), "\n")
		encoder := json.NewEncoder(NewWriter(&j))
		encoder.SetEscapeHTML(false)
		require.NoError(t, encoder.Encode(text))
		var back string
		require.NoError(t, json.Unmarshal(j.Bytes(), &back))
		require.Equal(t, string([]rune(text)), back)
	})
}

func TestLength(t *testing.T) {
	assert.NoError(t, Fits("name", strings.Repeat("漢", 5), 5))
	assert.EqualError(t, Fits("name", strings.Repeat("漢", 6), 5), "name: it has 6 letters; 5 are the most")
	assert.EqualError(t, Fits("", "abc", 2), "it has 3 letters; 2 are the most")
	assert.Equal(t, "漢漢", Shortened("漢漢", 2))
	assert.Equal(t, "漢漢... (shortened, 3 letters in all)", Shortened("漢漢x", 2))
}
