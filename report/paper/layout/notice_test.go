package layout

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every source of the dotted letters that its module names has its notice here, and the terms
// that must be passed on are here word by word.
func TestNotice(t *testing.T) {
	folder, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/hajimehoshi/bitmapfont/v3").Output()
	require.NoError(t, err)
	readme, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(folder)), "README.md"))
	require.NoError(t, err)
	text, err := os.ReadFile("NOTICE")
	require.NoError(t, err)
	flat := func(text []byte) string { return strings.Join(strings.Fields(string(text)), " ") }
	notice := flat(text)
	sources := regexp.MustCompile(`(?m)^ \* (?:\[([^\]]+)\]|Arabic glyphs by \[@(\w+)\]).*\((.*)\)$`).FindAllSubmatch(readme, -1)
	require.Len(t, sources, 6, "the module has other sources than it had")
	for _, one := range sources {
		name := strings.TrimSuffix(string(one[1])+string(one[2]), " Font")
		assert.Contains(t, notice, strings.TrimSuffix(name, " Font"))
	}
	terms := regexp.MustCompile("(?s)License\n\n```\n(.*?)\n```").FindAllSubmatch(readme, -1)
	require.Len(t, terms, 2)
	for _, one := range terms {
		assert.Contains(t, notice, flat(one[1]))
	}
	for _, words := range []string{"Reserved Font Name 'Ark Pixel'", "SIL OPEN FONT LICENSE Version 1.1", "PERMISSION & CONDITIONS", "OTHER DEALINGS IN THE FONT SOFTWARE."} {
		assert.Contains(t, notice, words)
	}
}
