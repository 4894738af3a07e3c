package main

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/foreign"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/cmd/internal/explain"
)

// hostile is a word from outside as somebody writes it who means no good: orders to the
// terminal, letters that turn the line round, letters that are not seen, a second line that
// looks like one of the program, the beginning of a formula, and a tag.
func hostile(word string) string {
	return "=" + word + "\x1b]0;owned\a\x1b[2J\u009b31m\x7f\u202e\u2066live\u200b\u2028\u2029\ufeff\r\nhint: forged\n\t<b>,\"'"
}

// hostileFile is one as a file can be called.
func hostileFile(word string) string { return strings.ReplaceAll(hostile(word), "/", "|") }

// hostileRecord is a record whose every text is hostile, in a folder of its own.
func hostileRecord(t *testing.T) (file, job string) {
	t.Helper()
	folder := t.TempDir()
	quoted := func(word string) string { return strconv.Quote(hostile(word)) }
	inLine := func(word string) string {
		return strconv.Quote("=" + word + "\u202e\u2066live\u200b\u2028\ufeff<b>,\"'")
	} // where controls are refused
	spoil := func(name string, texts map[string]string) {
		text, err := os.ReadFile(filepath.Join(keyway, name))
		require.NoError(t, err)
		for was, is := range texts {
			require.Contains(t, string(text), was)
			text = []byte(strings.ReplaceAll(string(text), was, is))
		}
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), text, 0o600))
	}
	spoil("procedure.yaml", map[string]string{"SHOP-3 rev 1": quoted("procedure")})
	spoil("job.yaml", map[string]string{
		"Keyway bore, one layer": quoted("job"), "Operator 1": quoted("operator"), "Inspector 1": quoted("inspector"),
		"bench 14": quoted("certificate"), "bench 15": quoted("certificate 2"),
		"rotation:": "customer: {name: " + inLine("customer") + ", order: " + inLine("order") + "}\nmachine: {name: " + inLine("machine") + ", serial: " + inLine("serial") +
			"}\nconsumables: {wire: " + quoted("wire") + ", wire_batch: " + quoted("batch") + ", gas: " + quoted("gas") + ", gas_batch: " + quoted("gas batch") +
			"}\nmaterial: {grade: " + quoted("grade") + "}\nrotation:",
	})
	capture := filepath.Join(folder, hostileFile("capture")+".csv")
	rows, err := os.ReadFile(filepath.Join(keyway, "capture.csv"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(capture, rows, 0o600))
	file, job = filepath.Join(folder, hostileFile("record")+".arctally"), filepath.Join(folder, "job.yaml")
	checkedRun(t, explain.Open, "import", capture, "--job", job, "-o", file)
	for _, args := range [][]string{
		{"note", file, "--text", hostile("note"), "--temperature", "180 degC", "--by", hostile("typist")},
		{
			"check", job, "--record", file, "meter", "channel=voltage", "reading=10.1V,20.3V,30.2V,40.3V", "reference=10.0V,20.1V,29.9V,39.9V",
			"reference-uncertainty=0.02V", "instrument=" + hostile("meter"), "certificate=" + hostile("paper"), "by=" + hostile("checker"),
		},
		{"inspect", file, "finding=1", "method=visual", "result=no indication", "decision=accept", "by=" + hostile("judge"), "remark=" + hostile("remark")},
		{"inspect", file, "machining", "station=1mm,0deg,90.02mm", "instrument=" + hostile("gauge"), "cleaned-up=not all round", "where=" + hostile("where"), "by=" + hostile("machinist")},
	} {
		checkedRun(t, explain.Done, args...)
	}
	sayHostile(t, file)
	return file, job
}

// sayHostile has a box with a hostile description go on in the record.
func sayHostile(t *testing.T, file string) {
	t.Helper()
	w, err := record.Append(file)
	require.NoError(t, err)
	epoch := w.NextEpoch()
	require.NoError(t, w.Source(series.Source{
		Name: hostile("box"), Serial: hostile("serial"), Firmware: hostile("firmware"), Calibration: hostile("calibration"), Link: "binary", Port: hostile("/dev/port"),
		Channels: []series.Channel{{Name: "voltage", Unit: "V", Scale: 0.1}, {Name: "current", Unit: "A", Scale: 0.1}, {Name: hostile("channel"), Unit: hostile("unit"), Scale: 1}},
	}))
	require.NoError(t, w.Block(&series.Block{Kind: series.Arc, Epoch: epoch, Step: 1e6, V: make([]int32, 10), I: make([]int32, 10)}))
	require.NoError(t, w.Block(&series.Block{Kind: series.Slow, Epoch: epoch, Tick: 5e6, Channel: []uint8{2}, Value: []float64{1}}))
	require.NoError(t, w.Event(series.Event{Kind: series.Remark, Epoch: epoch, Tick: 5e6, Until: 5e6, Text: hostile("event")}))
	require.NoError(t, w.Event(series.Event{Kind: series.Failed, Epoch: epoch, Tick: 6e6, Until: 6e6, Text: hostile("failure")}))
	require.NoError(t, w.Close())
}

// checkedRun carries out a command, wants it to say nothing hidden, and returns what it said.
func checkedRun(t *testing.T, status int, args ...string) (printed, told string) {
	t.Helper()
	var out, complaints bytes.Buffer
	got := run(t.Context(), args, &out, &complaints)
	if status >= 0 {
		require.Equal(t, status, got, "%q\n%s%s", args, &out, &complaints)
	}
	saysNothingHidden(t, args, out.String())
	saysNothingHidden(t, args, complaints.String())
	return out.String(), complaints.String()
}

var forged = regexp.MustCompile(`(?m)^hint: forged`)

func saysNothingHidden(t *testing.T, args []string, said string) {
	t.Helper()
	assert.True(t, utf8.ValidString(said), "%q", args)
	for _, r := range said {
		if foreign.IsHidden(r) {
			assert.Fail(t, "a hidden character came out", "%U of %q:\n%q", r, args, said)
			return
		}
	}
	assert.False(t, forged.MatchString(said), "%q:\n%s", args, said)
}

// Whatever a record, a job file or a command line says, it rules no terminal. A command that
// is new is met here with a record, and with words that it does not know.
func TestHostile_Terminal(t *testing.T) {
	if testing.Short() {
		t.Skip("it imports a whole job")
	}
	file, job := hostileRecord(t)
	folder := filepath.Dir(file)
	t.Chdir(folder) // a report goes where one stands
	at := func(name string) string { return filepath.Join(folder, name) }
	more := map[string][][]string{
		"plan":    {{job}, {job, "--json"}},
		"calc":    {{"heat-input", hostile("key") + "=1"}, {hostile("formula")}, {"heat-input", "voltage=" + hostile("1V")}},
		"links":   {{"--in", at(hostileFile("none")), "--for", "1ms"}},
		"check":   {{file}, {file, "--json"}, {job, "--record", file, hostile("kind")}, {job, "--record", at("new.arctally"), "take-over"}, {job, "--record", file, "meter", "channel=" + hostile("channel")}},
		"record":  {{job, "-o", at(hostileFile("new") + ".arctally"), "--port", at(hostileFile("no port"))}},
		"import":  {{file, "--job", job}, {at("capture.csv"), "--job", job, "--voltage", hostile("column")}},
		"passes":  {{file}, {file, "--json"}, {file, "--job", job}},
		"inspect": {{file}, {file, "--json"}, {file, "finding=1", "method=" + hostile("method")}},
		"note":    {{file, "--text", hostile("again"), "--by", hostile("typist")}, {file, "--temperature", hostile("hot"), "--by", "x"}},
		"prove":   {{file}, {file, "--json"}},
		"export":  {{file, "--format", "csv", "--slow"}, {file, "--format", "csv", "--table", "findings"}, {file, "--format", "json"}, {file, "--table", hostile("table")}},
		"report":  {{file, "-o", at("paper.pdf")}, {file, "-o", at("paper.html")}, {file, "-o", at("paper." + hostileFile("ending"))}, {file, "-o", at("x.pdf"), "--letterhead", hostile("head")}},
		"map":     {{file}, {file, "--layer", hostile("layer")}},
		"compare": {{file, "--pass", "1", "--with", "1"}, {file, "--pass", "1", "--reference", file}},
		"verify":  {{file}, {file, "--signers", at(hostileFile("signers"))}},
		"key":     {{"--for", hostile("person")}},
	}
	t.Setenv("XDG_CONFIG_HOME", at("config"))
	for _, c := range commands() {
		t.Run(c.name, func(t *testing.T) {
			for _, args := range append(more[c.name], []string{file}, []string{"--help"}, []string{hostile("operand"), hostile("second")}, []string{"--" + hostile("flag")}) {
				if c.name != "serve" && c.name != "demo" || args[0] != file {
					checkedRun(t, -1, append([]string{c.name}, args...)...)
				}
			}
		})
	}
	checkedRun(t, explain.Misuse, hostile("command"))
	printed, _ := checkedRun(t, -1, "passes", file)
	assert.Contains(t, printed, `=job\u001b]0;owned\u0007\u001b[2J\u009b31m\u007f\u202e\u2066live\u200b\u2028\u2029\ufeff\u000d\nhint: forged\n\t<b>,"'`)
	hostileServed(t, filepath.Dir(file))
}

// hostileServed wants the same of serve, which goes on until it is told to end.
func hostileServed(t *testing.T, folder string) {
	t.Helper()
	ctx, stop := context.WithTimeout(t.Context(), 2*time.Second)
	defer stop()
	var out, complaints bytes.Buffer
	hosted := filepath.Join(folder, hostileFile("folder"))
	require.NoError(t, os.Mkdir(hosted, 0o700))
	assert.Equal(t, explain.Done, run(ctx, []string{"serve", hosted, "--listen", "127.0.0.1:0"}, &out, &complaints))
	assert.Contains(t, complaints.String(), `=folder\u001b`)
	saysNothingHidden(t, []string{"serve"}, complaints.String())
}

// What programs read has every text as it was given.
func TestHostile_JSONIsExact(t *testing.T) {
	if testing.Short() {
		t.Skip("it imports a whole job")
	}
	file, _ := hostileRecord(t)
	printed, _ := checkedRun(t, explain.Done, "passes", file, "--json")
	var list struct{ Job string }
	require.NoError(t, json.Unmarshal([]byte(printed), &list))
	assert.Equal(t, hostile("job"), list.Job)
	printed, _ = checkedRun(t, explain.Done, "inspect", file, "--json")
	var found struct {
		Findings []struct{ Disposition struct{ By, Remark string } }
	}
	require.NoError(t, json.Unmarshal([]byte(printed), &found))
	require.NotEmpty(t, found.Findings)
	assert.Equal(t, hostile("judge"), found.Findings[0].Disposition.By)
	assert.Equal(t, hostile("remark"), found.Findings[0].Disposition.Remark)
}
