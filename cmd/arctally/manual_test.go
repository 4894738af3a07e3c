package main

import (
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/explain"
)

// Every command and every flag stands in the manual pages and in what completes them.
func TestManual_SaysAll(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "made")
	printed, _ := checkedRun(t, explain.Done, "manual", folder, "--date", "2026-03-02")
	assert.Contains(t, printed, "files below "+folder)
	read := func(name string) string {
		text, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		return string(text)
	}
	overview := strings.ReplaceAll(read("man/arctally.1"), `\-`, "-")
	bash, zsh, fish := read("completion/arctally.bash"), read("completion/_arctally"), read("completion/arctally.fish")
	for _, c := range commands() {
		assert.Contains(t, overview, "\n.BR arctally-"+c.name+" (1)\n")
		assert.Contains(t, zsh, "'"+c.name+":")
		assert.Contains(t, fish, " -a "+c.name+" -d ")
		flags := flag.NewFlagSet(c.name, flag.ContinueOnError)
		c.setUp(flags)
		page := strings.ReplaceAll(read("man/arctally-"+c.name+".1"), `\-`, "-")
		assert.Contains(t, page, ".TH ARCTALLY-"+strings.ToUpper(c.name)+` 1 "2026-03-02"`)
		flags.VisitAll(func(f *flag.Flag) {
			spelled := "--" + f.Name
			if len(f.Name) == 1 {
				spelled = "-" + f.Name
			}
			assert.Contains(t, page, "\n.TP\n\\fB"+spelled+"\\fR", c.name)
			assert.Regexp(t, `(?m)^\t`+c.name+`\) flags="([^"]* )?`+spelled+`[ "]`, bash)
			assert.Regexp(t, `(?m)^\t'\*?`+spelled+`\[`, between(zsh, "\n"+c.name+") _arguments", " ;;\n"))
			assert.Regexp(t, `_from `+c.name+`' -[ls] `+f.Name+` `, fish)
		})
	}
	pages, err := filepath.Glob(filepath.Join(folder, "man", "*"))
	require.NoError(t, err)
	assert.Len(t, pages, len(commands())+1)
	lint, err := exec.LookPath("mandoc")
	if err != nil {
		t.Skip("what follows needs mandoc")
	}
	said, err := exec.CommandContext(t.Context(), lint, append([]string{"-Tlint", "-Wwarning"}, pages...)...).CombinedOutput()
	require.NoError(t, err, string(said))
	assert.Empty(t, string(said))
}

// between is what stands in a text between two others.
func between(text, begin, end string) string {
	_, rest, _ := strings.Cut(text, begin)
	part, _, _ := strings.Cut(rest, end)
	return part
}
