package main

import (
	"bytes"
	"flag"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseMixed(t *testing.T) {
	for _, test := range []struct {
		id       string
		args     []string
		operands []string
		json     bool
		file     string
	}{
		{"none", nil, nil, false, ""},
		{"before", []string{"--json", "-o", "x", "r"}, []string{"r"}, true, "x"},
		{"after", []string{"r", "--json", "-o", "x"}, []string{"r"}, true, "x"},
		{"between", []string{"r", "-o=x", "s", "--json"}, []string{"r", "s"}, true, "x"},
		{"ended", []string{"-o", "x", "--", "--json", "-o"}, []string{"--json", "-o"}, false, "x"},
		{"ended-after-operand", []string{"r", "--", "--json"}, []string{"r", "--json"}, false, ""},
		{"dash", []string{"-", "--json"}, []string{"-"}, true, ""},
	} {
		t.Run(test.id, func(t *testing.T) {
			flags := flag.NewFlagSet("x", flag.ContinueOnError)
			json := flags.Bool("json", false, "")
			file := flags.String("o", "", "")
			operands, err := parseMixed(flags, test.args)
			require.NoError(t, err)
			assert.Equal(t, test.operands, operands)
			assert.Equal(t, test.json, *json)
			assert.Equal(t, test.file, *file)
		})
	}
}

func TestCommands_Help(t *testing.T) {
	require.NotEmpty(t, commands())
	for _, c := range commands() {
		t.Run(c.name, func(t *testing.T) {
			var out, complaints bytes.Buffer
			assert.Zero(t, run(t.Context(), []string{c.name, "--help"}, &out, &complaints))
			assert.Empty(t, complaints.String())
			for _, part := range []string{c.summary, "Usage: arctally " + c.name, "Flags:", "Example:\n  arctally " + c.name, "EXIT STATUS"} {
				assert.Contains(t, out.String(), part)
			}
			assert.Equal(t, c.findings, bytes.Contains(out.Bytes(), []byte("findings are open")))
		})
	}
}

func TestFits(t *testing.T) {
	for _, test := range []struct {
		shown, operands string
		want            bool
	}{
		{"RECORD", "a", true},
		{"RECORD", "", false},
		{"RECORD", "a b", false},
		{"", "", true},
		{"", "a", false},
		{"QUANTITY [key=value...]", "", false},
		{"QUANTITY [key=value...]", "bore", true},
		{"QUANTITY [key=value...]", "bore a=1 b=2 c=3", true},
		{"A [B]", "a b", true},
		{"A [B]", "a b c", false},
	} {
		assert.Equal(t, test.want, fits(strings.Fields(test.operands), strings.Fields(test.shown)), "%s: %s", test.shown, test.operands)
	}
}
