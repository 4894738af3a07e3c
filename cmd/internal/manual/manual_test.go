package manual

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// odd is a program whose words mean something to whatever reads what is made of them.
func odd() *Program {
	return &Program{Name: "odd", Summary: "does it's best", Version: "v1", Date: "2026-03-02", Commands: []Command{
		{
			Name: "take", Operands: "RECORD", Summary: "takes one: 'this' [or that]",
			Example: "odd take --point .x\n  odd take -o \"a\\nb\"\n\n  A first sentence.\n  And " + strings.Repeat("more, ", 20) + "that\n  goes on.",
			Flags: []Flag{
				{Name: "in", Kind: "FOLDER", Text: ".first stands a point"},
				{Name: "o", Kind: "FILE", Text: "it's a $HOME `file`: [one]", Default: "C:\\odd"},
				{Name: "point", Kind: "NUMBER", Text: "a number\n        of two lines"},
				{Name: "us", Text: "a switch"},
			},
			Statuses: []Status{{0, "done"}, {3, "open"}},
		},
		{Name: "put", Operands: "[FOLDER]", Summary: "puts one", Example: "odd put"},
	}}
}

func TestHelp(t *testing.T) {
	p := odd()
	assert.Equal(t, "puts one\n\nUsage: odd put [FLAGS] [FOLDER]\n\nFlags:\n\nExample:\n  odd put\n\nEXIT STATUS\n", p.Help(&p.Commands[1]))
	taken := p.Help(&p.Commands[0])
	assert.Contains(t, taken, "\n  -o FILE\n        it's a $HOME `file`: [one] (default C:\\odd)\n")
	assert.Contains(t, taken, "\n  --us\n        a switch\n")
	assert.Contains(t, taken, "\nEXIT STATUS\n  0  done\n  3  open\n")
}

func TestPage(t *testing.T) {
	files := odd().Files()
	assert.Len(t, files, 6)
	assert.Contains(t, files["man/odd.1"], ".TP\n.BR odd\\-take (1)\ntakes one: \\(aqthis\\(aq [or that]\n")
	page := files["man/odd-take.1"]
	assert.True(t, strings.HasPrefix(page, ".TH ODD\\-TAKE 1 \"2026-03-02\" \"odd v1\" \"User commands\"\n.SH NAME\nodd\\-take \\- takes one"), page)
	assert.Contains(t, page, "\n.TP\n\\fB\\-\\-in\\fR \\fIFOLDER\\fR\n\\&.first stands a point\n", "no text is an order")
	assert.Contains(t, page, "\n.TP\n\\fB\\-o\\fR \\fIFILE\\fR\nit\\(aqs a $HOME \\(gafile\\(ga: [one] (default C:\\eodd)\n")
	assert.Contains(t, page, "\na number of two lines\n")
	assert.Contains(t, page, "\n.TP\n\\fB\\-\\-us\\fR\na switch\n")
	assert.Contains(t, page, ".SH EXAMPLES\n.EX\nodd take \\-\\-point .x\nodd take \\-o \\(dqa\\enb\\(dq\n.EE\n.PP\nA first sentence.\n.br\nAnd more, ")
	assert.Contains(t, page, "more, that\ngoes on.\n", "a full line goes on")
	assert.Contains(t, page, ".SH EXIT STATUS\n.TP\n.B 0\ndone\n.TP\n.B 3\nopen\n")
	assert.NotContains(t, files["man/odd-put.1"], "OPTIONS", "it has none")
}

func TestPage_Lint(t *testing.T) {
	lint := need(t, "mandoc")
	said, err := exec.CommandContext(t.Context(), lint, append([]string{"-Tlint", "-Wwarning"}, written(t, "man")...)...).CombinedOutput()
	require.NoError(t, err, string(said))
	assert.Empty(t, string(said))
}

// written writes all that is made into a folder, and returns the files of one kind.
func written(t *testing.T, kind string) (names []string) {
	t.Helper()
	folder := t.TempDir()
	for name, text := range odd().Files() {
		file := filepath.Join(folder, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		if filepath.Dir(name) == kind {
			names = append(names, file)
		}
	}
	return names
}

// need is where another program is, without which there is nothing to try.
func need(t *testing.T, program string) string {
	t.Helper()
	found, err := exec.LookPath(program)
	if err != nil {
		t.Skip("there is no " + program + " here")
	}
	return found
}

// A shell that has read the completion proposes what a person may mean.
func TestCompletion_bash(t *testing.T) {
	shell := need(t, "bash")
	folder := filepath.Dir(written(t, "completion")[0])
	require.NoError(t, os.MkdirAll(filepath.Join(folder, "d e", "f"), 0o700))
	for typed, want := range map[string]string{
		"ta":            "take",
		"":              "take put help --help --version",
		"help p":        "put",
		"take --":       "--in --point --us --help",
		"take --in d":   "d e",
		"take odd.b":    "odd.bash",
		"take --point ": "",
		"take -o odd.f": "odd.fish",
		"put od":        "",
		"put d":         "d e",
	} {
		words := strings.Split("odd "+typed, " ")
		script := "source ./odd.bash; compopt() { :; }; COMP_CWORD=$(($# - 1)); COMP_WORDS=(\"$@\"); _odd; IFS=' '; echo \"${COMPREPLY[*]}\""
		command := exec.CommandContext(t.Context(), shell, append([]string{"-c", script, "bash"}, words...)...)
		command.Dir = folder
		said, err := command.CombinedOutput()
		require.NoError(t, err, string(said))
		assert.Equal(t, want+"\n", string(said), "%q", typed)
	}
}

func TestCompletion_fish(t *testing.T) {
	shell := need(t, "fish")
	folder := filepath.Dir(written(t, "completion")[0])
	for typed, want := range map[string]string{
		"odd ta":            "take\ttakes one: 'this' [or that]\n",
		"odd --v":           "--version\tshows which build this is\n",
		"odd help p":        "put\n",
		"odd take --i":      "--in\t.first stands a point\n",
		"odd take -o odd.f": "odd.fish\n",
		"odd take --poi":    "--point\ta number of two lines\n",
		"odd put od":        "",
	} {
		command := exec.CommandContext(t.Context(), shell, "--no-config", "-c", `source ./odd.fish; complete -C "$argv"`, typed)
		command.Dir, command.Env = folder, append(os.Environ(), "HOME="+folder)
		said, err := command.Output()
		require.NoError(t, err, string(said))
		assert.Equal(t, want, string(said), "%q", typed)
	}
}

// What zsh proposes is seen at a terminal alone: here it only reads it, and the words stand in it.
func TestCompletion_zsh(t *testing.T) {
	file := filepath.Join(filepath.Dir(written(t, "completion")[0]), "_odd")
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(text), `'take:takes one: '\''this'\'' [or that]'`)
	assert.Contains(t, string(text), `'*-o[it'\''s a $HOME `+"`file`"+`\: \[one\]]:FILE:_files'`)
	assert.Contains(t, string(text), `'*--in[.first stands a point]:FOLDER:_files -/'`)
	assert.Contains(t, string(text), `'--us[a switch]'`)
	assert.Contains(t, string(text), `'*--point[a number of two lines]:NUMBER: '`)
	said, err := exec.CommandContext(t.Context(), need(t, "zsh"), "-n", file).CombinedOutput()
	require.NoError(t, err, string(said))
}
