package layout

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scripts are words of many scripts; each is to be found again by another reader.
var scripts = map[string]string{
	"latin": "Z\u00fcrich \u0141\u00f3d\u017a", "greek": "\u03a3\u03c5\u03b3\u03ba\u03cc\u03bb\u03bb\u03b7\u03c3\u03b7", "cyrillic": "\u0421\u0432\u0430\u0440\u043a\u0430",
	"chinese": "\u710a\u63a5\u8bb0\u5f55", "traditional": "\u92b2\u63a5\u7d00\u9304", "japanese": "\u6eb6\u63a5\u3059\u308b\u30c6\u30b9\u30c8", "korean": "\uc6a9\uc811 \uae30\ub85d",
}

func TestNumbered(t *testing.T) {
	for text, want := range map[string]string{
		"":                       "",
		"weld 1":                 "weld 1",
		"\u710a":                 "\u710a",
		"a\u0905\u092dz":         "a[U+0905 U+092D]z",
		"\U0001f525":             "[U+1F525]",
		"a\xffz\x00":             "a[U+FFFD]z\\u0000",
		"\u0905 \u0905":          "[U+0905] [U+0905]",
		"e\u0301":                "\u00e9",
		"left\u202eright":        "left\\u202eright",
		"[U+0905] typed so":      "[U+0905] typed so",
		"two\nlines\u00a0here":   "two\nlines here",
		strings.Repeat("w", 300): strings.Repeat("w", 300),
	} {
		assert.Equal(t, want, safe(text), "%q", text)
		assert.Equal(t, safe(text), safe(safe(text)), "%q", text)
	}
}

// Words from the right are turned round, each stretch in its place.
func TestOrdered(t *testing.T) {
	assert.Equal(t, "pin 7 \u05db\u05d1\u05d0 12", ordered("pin 7 \u05d0\u05d1\u05db 12"))
	assert.Equal(t, "\u05d2 \u05d1\u05d0", ordered("\u05d0\u05d1 \u05d2"))
	assert.Equal(t, "\ufef2\ufe91", ordered("\u0628\u064a"), "joined as they are written")
	assert.Equal(t, "plain 7", ordered("plain 7"))
}

// Every character either is in a type or has its number written: no box, and nothing lost.
func TestSafe_EveryCharacterIsShown(t *testing.T) {
	for r := rune(0x20); r < 0x20000; r++ {
		for _, shown := range safe(string(r)) {
			if !isShown(shown) {
				t.Fatalf("U+%04X is printed as nothing", r)
			}
		}
	}
}

func TestDocument_LettersOfEveryScript(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("pdftotext is not installed")
	}
	d := New(Options{})
	for _, words := range scripts {
		d.Text("begins " + words + " ends")
		d.Strong(words)
	}
	d.Text("\u0633\u062c\u0644 \u0627\u0644\u0644\u062d\u0627\u0645 7")
	d.Text("\u05e8\u05d9\u05ea\u05d5\u05da")
	d.Text("\u0905\u092d\u093f and \U0001f525")
	var b bytes.Buffer
	require.NoError(t, d.Write(&b))
	path := filepath.Join(t.TempDir(), "letters.pdf")
	require.NoError(t, os.WriteFile(path, b.Bytes(), 0o600))
	if keep := os.Getenv("ARCTALLY_KEEP_PDF"); keep != "" {
		require.NoError(t, os.WriteFile(keep, b.Bytes(), 0o600))
	}
	out, err := exec.Command("pdftotext", "-raw", path, "-").Output()
	require.NoError(t, err)
	for script, words := range scripts {
		assert.Equal(t, 2, strings.Count(string(out), words), script)
	}
	assert.Contains(t, string(out), "[U+0905 U+092D U+093F] and [U+1F525]")
}
