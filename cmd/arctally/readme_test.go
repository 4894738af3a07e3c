package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/explain"
	"arctally/testdata/job/demo"
)

// shownCommand is a line "$ arctally ..." of a console block and what is shown below it.
type shownCommand struct {
	args   []string
	output []string
}

// shownCommands reads the console blocks of a Markdown text. Commands of other
// programs, and what they printed, are left out.
func shownCommands(text string) (found []shownCommand) {
	console, ours := false, false
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, " \n")
		command, prompt := strings.CutPrefix(line, "$ ")
		switch {
		case strings.HasPrefix(line, "```"):
			console, ours = line == "```console", false
		case !console:
		case prompt:
			var args string
			if args, ours = strings.CutPrefix(command, "arctally "); ours {
				found = append(found, shownCommand{args: strings.Fields(args)})
			}
		case ours && line != "":
			last := &found[len(found)-1]
			last.output = append(last.output, line)
		}
	}
	return found
}

// sameWords reports whether a printed line says what the shown one says. Words
// with a digit in them may differ from run to run: there must be as many of
// them, at the same places. A shown line "..." stands for any lines.
func sameWords(shown, printed string) bool {
	want, got := strings.Fields(shown), strings.Fields(printed)
	if len(want) != len(got) {
		return false
	}
	for k := range want {
		number := strings.ContainsFunc(want[k], unicode.IsDigit)
		if number != strings.ContainsFunc(got[k], unicode.IsDigit) || !number && want[k] != got[k] {
			return false
		}
	}
	return true
}

// missingLines returns the shown lines that were not printed, in the order shown.
func missingLines(shown []string, printed string) (missing []string) {
	lines := strings.FieldsFunc(printed, func(r rune) bool { return r == '\n' || r == '\r' })
	for _, line := range shown {
		if line == "..." {
			continue
		}
		k := 0
		for k < len(lines) && !sameWords(line, lines[k]) {
			k++
		}
		if k == len(lines) {
			missing = append(missing, line)
			continue
		}
		lines = lines[k+1:]
	}
	return missing
}

// TestReadme carries out the commands that README.md shows, one after the
// other in one folder, and compares what they print.
func TestReadme(t *testing.T) {
	if testing.Short() {
		t.Skip("it carries out every command")
	}
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	shown := shownCommands(string(text))
	require.NotEmpty(t, shown, "README.md shows no command")
	t.Chdir(t.TempDir())
	require.NoError(t, os.CopyFS("testdata/job/demo", demo.Files), "the reader stands in the repository")
	for _, command := range shown {
		var printed bytes.Buffer
		status := run(t.Context(), command.args, &printed, &printed)
		name := strings.Join(command.args, " ")
		assert.Contains(t, []int{explain.Done, explain.Open}, status, "arctally %s printed:\n%s", name, printed.String())
		assert.Empty(t, missingLines(command.output, printed.String()), "arctally %s printed:\n%s", name, printed.String())
	}
}

// TestReadme_Bad shows that the comparison can fail.
func TestReadme_Bad(t *testing.T) {
	const text = "```console\n$ make demo\nok\n$ arctally passes r\n1 helix 17.5 V\n...\n\n2 helix 17.6 V\n```\n```sh\n$ arctally x\n```\n"
	shown := shownCommands(text)
	require.Equal(t, []shownCommand{{args: []string{"passes", "r"}, output: []string{"1 helix 17.5 V", "...", "2 helix 17.6 V"}}}, shown)
	for _, test := range []struct{ id, printed, missing string }{
		{"same", "head\n1 helix 17.5 V\n2 helix 17.6 V\n", ""},
		{"other-numbers", "1 helix 99 V\nbetween\n3 helix 0.1 V\n", ""},
		{"other-word", "1 rings 17.5 V\n2 helix 17.6 V\n", "2 helix 17.6 V"},
		{"word-for-number", "1 helix none V\n2 helix 17.6 V\n", "2 helix 17.6 V"},
		{"one-only", "1 helix 17.5 V\n", "2 helix 17.6 V"},
		{"nothing", "", "1 helix 17.5 V 2 helix 17.6 V"},
	} {
		t.Run(test.id, func(t *testing.T) {
			assert.Equal(t, test.missing, strings.Join(missingLines(shown[0].output, test.printed), " "))
		})
	}
}
