package paper

import (
	stdhtml "html"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/calib"
	"arctally/analyze"
	"arctally/analyze/finding"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// keysIn are the keys that the source of a room writes out.
func keysIn(t *testing.T, room, way string) (keys []string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("../..", room))
	require.NoError(t, err)
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, found := range regexp.MustCompile(way).FindAllStringSubmatch(string(text), -1) {
			keys = append(keys, found[1])
		}
	}
	require.NotEmpty(t, keys, room)
	return keys
}

// everyKey is a job with a finding of every rule, a check of every subject, a warning of every
// kind, and calibrations of channels whose names are keys.
func everyKey(t *testing.T) (s *sheet.Sheet, keys []string) {
	t.Helper()
	in := sheettest.Decided()
	for k := range in.Result.Passes {
		in.Result.Passes[k].Waveform = sheettest.Shorting()
	}
	for k := range in.Result.Findings {
		in.Result.Findings[k].Sentence = "invented words" // those of the fixture are made of keys
	}
	one := in.Result.Findings[0]
	rules := keysIn(t, "analyze/finding/rules.go", `Rule += "([a-z_]+)"`)
	for _, rule := range rules {
		f := one
		f.Number, f.Rule = len(in.Result.Findings)+1, finding.Rule(rule)
		f.Start.Tick += int64(f.Number) * 3e9
		in.Result.Findings = append(in.Result.Findings, f)
	}
	for _, subject := range calib.Subjects() {
		c := *sheettest.Checks()[0]
		c.Subject, c.Channel = subject, "wire_speed"
		in.Checks = append(in.Checks, &c)
		keys = append(keys, string(subject))
	}
	warnings := keysIn(t, "analyze/*[a-z].go", `(?:Kind: +|add\(|boxWarning = )"([a-z-]+)"`)
	for _, kind := range warnings {
		in.Result.Warnings = append(in.Result.Warnings, analyze.Warning{Kind: kind, Text: "in words"})
	}
	setUp := analyze.Setup{Checks: in.Checks[:1], Calibrations: []calib.Timed{{Calibration: calib.Calibration{Channel: "wire_speed", Due: "2020-01-01"}}}}
	in.Result.Warnings = append(in.Result.Warnings, setUp.Doubts(in.Result.Passes)...)
	for _, channel := range []string{"wire_speed", "gas_flow", "travel_speed"} {
		in.Instruments = append(in.Instruments, calib.Calibration{Channel: channel, Gain: 1, Certificate: "C-1"})
		keys = append(keys, channel)
	}
	keys = slices.Concat(keys, rules, warnings, keysIn(t, "analyze/proof/reason.go", `Kind += "([a-z-]+)"`), keysIn(t, "acquire/series/series.go", `EventKind += "([a-z-]+)"`))
	keys = slices.DeleteFunc(keys, func(key string) bool { return !strings.ContainsAny(key, "_-") })
	slices.Sort(keys)
	return sheet.New(in), slices.Compact(keys)
}

// Nobody reads a program's key on paper: neither a known one, nor anything that looks like one.
func TestPaper_NoKeys(t *testing.T) {
	s, keys := everyKey(t)
	require.Greater(t, len(keys), 50)
	for _, u := range []sheet.Units{sheet.Metric, sheet.US} {
		html := sheettest.Render(t, pageIn(s, u))
		for form, text := range map[string]string{
			"page":  stdhtml.UnescapeString(regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`).ReplaceAllString(html, "\n")),
			"paper": textOf(t, pdf(t, s, u, layout.A4)),
		} {
			for _, key := range keys {
				assert.Empty(t, regexp.MustCompile(`(?m)(?:^|[^\w-])`+regexp.QuoteMeta(key)+`(?:$|[^\w-]).*`).FindAllString(text, 3), form)
			}
			assert.Empty(t, regexp.MustCompile(`\b[a-z]+(_[a-z]+)+\b`).FindAllString(text, -1), form)
			assert.Contains(t, strings.Join(strings.Fields(text), " "), "wire speed", form)
		}
	}
}
