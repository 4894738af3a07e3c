package paper

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	stdhtml "html"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/bore"
	"arctally/analyze/procedure"
	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// PDF is the weld record on paper without a letterhead.
func PDF(w io.Writer, s *sheet.Sheet, u sheet.Units, format layout.Format) error {
	return With{}.PDF(w, s, u, format)
}

func pdf(t *testing.T, s *sheet.Sheet, u sheet.Units, format layout.Format) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, PDF(&b, s, u, format))
	return b.Bytes()
}

// reader runs a program of another house over a file; it skips without it.
func reader(t *testing.T, file []byte, program string, before []string, after ...string) string {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		t.Skipf("%s is not installed (Debian: poppler-utils), so no other reader has seen this file", program)
	}
	path := filepath.Join(t.TempDir(), "record.pdf")
	require.NoError(t, os.WriteFile(path, file, 0o600))
	out, err := exec.Command(program, append(append(before, path), after...)...).CombinedOutput()
	require.NoError(t, err, string(out))
	return string(out)
}

func textOf(t *testing.T, file []byte) string {
	t.Helper()
	return strings.Join(strings.Fields(reader(t, file, "pdftotext", []string{"-raw"}, "-")), " ")
}

// wordless is a text without the spaces and hyphens at which a reader may break it.
func wordless(text string) string { return strings.NewReplacer(" ", "", "\n", "").Replace(text) }

func TestPDF_SameRecordSameBytes(t *testing.T) {
	if testing.Short() {
		t.Skip("it prints a record many times")
	}
	first := pdf(t, sheet.New(sheettest.Decided()), sheet.Metric, layout.A4)
	assert.True(t, bytes.Equal(first, pdf(t, sheet.New(sheettest.Decided()), sheet.Metric, layout.A4)))
	var group sync.WaitGroup
	for range 3 { // at the same time, too
		group.Go(func() {
			var b bytes.Buffer
			if err := PDF(&b, sheet.New(sheettest.Decided()), sheet.Metric, layout.A4); assert.NoError(t, err) {
				assert.True(t, bytes.Equal(first, b.Bytes()))
			}
		})
	}
	group.Wait()
	if hash := os.Getenv("ARCTALLY_TEST_PDF_HASH"); hash != "" { // asked by the parent process, below
		assert.Equal(t, hash, sheettest.Hashed(first))
		return
	}
	other := exec.Command(os.Args[0], "-test.run", "^TestPDF_SameRecordSameBytes$", "-test.count", "1")
	sum := sha256.Sum256(first)
	other.Env = append(os.Environ(), "ARCTALLY_TEST_PDF_HASH="+hex.EncodeToString(sum[:]))
	out, err := other.CombinedOutput()
	assert.NoError(t, err, "another process writes other bytes: %s", out)
}

func TestPDF_OnlyTheRecordsOwnTimeIsInIt(t *testing.T) {
	dated := pdf(t, sheet.New(sheettest.Input()), sheet.Metric, layout.A4)
	assert.Contains(t, string(dated), "/CreationDate (D:20260302093501)")
	in := sheettest.Input()
	in.WallTime = nil
	undated := pdf(t, sheet.New(in), sheet.Metric, layout.A4)
	assert.NotContains(t, string(undated), "Date (")
	assert.NotContains(t, string(undated), "(D:")
	assert.Contains(t, reader(t, undated, "pdfinfo", nil), "Pages:")
}

// everything is what a reader must find of a decided job, on paper and on the page.
func everything(in sheet.Input) (words []string) {
	for _, f := range in.Result.Findings {
		words = append(words, f.Sentence)
	}
	for _, w := range in.Result.Warnings {
		words = append(words, w.Text)
	}
	r := recordOf(sheet.New(in), sheet.Metric, With{})
	for _, c := range r.cautions().blocks[0].(leads) {
		words = append(words, c.Head, c.Text)
	}
	return append(append(words, r.methodLines()...),
		in.Job.Name, in.Fingerprint, "arctally verify invented.arctally", "The heat input is outside in pass",
		"6 findings are open; 1 of 7 have a disposition that closes them", "All of their passes, without an angle: events 5 to 7", "16.5 to 19.0 V", "in date at the first arc",
		"overdue at the first arc", "Planned and done", "more metal is needed", "What the record proves", "to repair",
		"Inspection: liquid penetrant; no indication.", "bead even, no undercut", "Before, entry 1, Inspector 1", "hole at the restart: grind out and weld again",
		"restart at 212 deg", "SHA-256 "+sheettest.Hashed(sheettest.Pictures()["image/png"]), "The record does not have this picture.", "What is open",
		"The cut cleaned up all round.", "90.021", "bore gauge 7", "measured at 21 degC", "Operator", "Inspector", "Engineer", "signature",
		"Metal over the finish diameter, all layers, mm", "Arc-on ratio, the worst of all layers", "not known: no data, or nothing laid", "hatched: closer to a limit than the guard band",
	)
}

func TestPDF_HasEverything(t *testing.T) {
	text := wordless(textOf(t, pdf(t, sheet.New(sheettest.Decided()), sheet.Metric, layout.A4)))
	for _, words := range append(everything(sheettest.Decided()), "page 1 of", "The picture cannot be shown") {
		assert.True(t, strings.Contains(text, wordless(words)), words)
	}
	assert.NotContains(t, text, "NaN")
}

func TestHTML_HasEverythingOnPaper(t *testing.T) {
	html := page(t, sheettest.Decided())
	text := wordless(stdhtml.UnescapeString(regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`).ReplaceAllString(html, "")))
	for _, words := range everything(sheettest.Decided()) {
		assert.True(t, strings.Contains(text, wordless(words)), words)
	}
	assert.Equal(t, 3, strings.Count(html, `<img src="data:image/`), "those that are there; a browser tells of the broken one")
	assert.NotRegexp(t, loads, html)
}

func TestPDF_FontsAreInTheFile(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(reader(t, pdf(t, sheet.New(sheettest.Input()), sheet.Metric, layout.A4), "pdffonts", nil)), "\n")[2:]
	assert.Len(t, lines, 3)
	for _, line := range lines {
		assert.Regexp(t, `CID TrueType +Identity-H +yes`, line)
	}
}

// box finds the words of a page with their places, as another reader sees them.
var box = regexp.MustCompile(`<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">([^<]*)<`)

func TestPDF_LongJob(t *testing.T) {
	if testing.Short() {
		t.Skip("it prints a long record")
	}
	in := sheettest.Long()
	file := pdf(t, sheet.New(in), sheet.Metric, layout.A4)
	text := textOf(t, file)
	close := wordless(text)
	assert.Contains(t, close, wordless(in.Job.Name), "every script survives")
	events, within := sheet.New(in).Events, 0
	for _, e := range events {
		assert.Contains(t, close, wordless(e.Lead.Sentence))
		within += len(e.Of)
	}
	assert.Equal(t, 150, within)
	passes := regexp.MustCompile(`(?m)^ *(\d+) +\d\d:\d\d:\d\d `).FindAllStringSubmatch(reader(t, file, "pdftotext", []string{"-layout"}, "-"), -1)
	seen := map[string]bool{}
	for _, p := range passes {
		seen[p[1]] = true
	}
	for number := 1; number <= 200; number++ {
		assert.True(t, seen[strconv.Itoa(number)], "pass %d is not in the pass table", number)
	}
	assert.Equal(t, 110, strings.Count(text, "dictated,"), "a row longer than a page goes on")
	info := reader(t, file, "pdfinfo", nil)
	pages, err := strconv.Atoi(regexp.MustCompile(`Pages: +(\d+)`).FindStringSubmatch(info)[1])
	require.NoError(t, err)
	assert.Greater(t, pages, 15)
	for page := 1; page <= pages; page++ {
		assert.Contains(t, text, fmt.Sprintf("page %d of %d", page, pages))
	}
	assert.Greater(t, strings.Count(text, "Arc time"), 5, "the head of the pass table stands on each of its pages")
	assert.Greater(t, strings.Count(text, "How far out"), 4, "that of the events, too")
}

func TestPDF_NothingLeavesTheMargins(t *testing.T) {
	if testing.Short() {
		t.Skip("it prints long records")
	}
	for format, size := range map[layout.Format][2]float64{layout.A4: {595.28, 841.89}, layout.Letter: {612, 792}} {
		for name, in := range map[string]sheet.Input{"decided": sheettest.Decided(), "long": sheettest.Long()} {
			for _, units := range []sheet.Units{sheet.Metric, sheet.US} {
				file := pdf(t, sheet.New(in), units, format)
				words := box.FindAllStringSubmatch(reader(t, file, "pdftotext", []string{"-bbox"}, "-"), -1)
				require.Greater(t, len(words), 1000)
				for _, w := range words {
					var at [4]float64
					for k := range at {
						at[k], _ = strconv.ParseFloat(w[k+1], 64)
					}
					inside := at[0] > 44 && at[2] < size[0]-44 && at[1] > 34 && at[3] < size[1]-24
					assert.True(t, inside, "%s on %s: %q at %v", name, format, w[5], at)
				}
			}
		}
	}
}

func TestPDF_USUnits(t *testing.T) {
	text := textOf(t, pdf(t, sheet.New(sheettest.Decided()), sheet.US, layout.Letter))
	for _, words := range []string{"3.622 in", "kJ/in", "in/min", "131° ±2.5° at 0.18 in", "3.5440"} {
		assert.Contains(t, text, words)
	}
	assert.NotContains(t, text, "mm/min")
	assert.NotContains(t, text, "mm depth", "sentences too")
	assert.Contains(t, text, "worst 16.26, limit 13.97 kJ/in")
}

func TestPDF_OfLittleKnowledge(t *testing.T) {
	plate := sheettest.Input()
	plate.Job.Deposit.Pattern, plate.Job.Bore = bore.Straight, bore.Bore{}
	hostile := sheettest.Input()
	hostile.Job.Name = "\x00\xff\u202e<b>&amp;(\\)\U0001F525" + strings.Repeat("w", 400)
	hostile.Result.Findings[0].Sentence = "</svg>)\\(" + strings.Repeat("\u4e16", 50)
	for name, c := range map[string]struct {
		in   sheet.Input
		want string
	}{
		"nothing at all": {sheet.Input{Job: &procedure.Job{}}, "No pass was found in this record."},
		"a plate":        {plate, "no bore to draw"},
		"hostile":        {hostile, "[U+FFFD]\\u202e<b>&amp;(\\)[U+1F525]"},
	} {
		t.Run(name, func(t *testing.T) {
			text := textOf(t, pdf(t, sheet.New(c.in), sheet.Metric, layout.A4))
			assert.Contains(t, text, c.want)
			assert.NotContains(t, text, "NaN")
		})
	}
}

// What is told by grey alone must be told apart by a printer without colour.
func TestStyle_GreysAreApart(t *testing.T) {
	style, err := readStyle()
	require.NoError(t, err)
	before, steps := 0.0, 0
	for ; ; steps++ {
		light, ok := style.Luminance(fmt.Sprintf("shade%d", steps))
		if !ok {
			break
		}
		assert.Greater(t, light, before+0.05, "step %d", steps)
		before = light
	}
	assert.Equal(t, sheet.WallSteps, steps)
	assert.Less(t, before, 0.95, "the lightest step is no blank paper")
	for _, hatched := range []string{"short", "high", "doubtful", "unseen", "gap", "guard"} {
		_, plain := style.Luminance(hatched)
		assert.False(t, plain, "%s is a pattern, and no grey", hatched)
	}
	// A verdict has a shape or a fill of its own.
	looks := map[string]bool{}
	for _, v := range sheet.New(sheettest.Input()).Verdicts() {
		light, filled := style.Luminance("mark " + v.Sign)
		icon := draw.Sign(v.Sign)
		icon.Class = ""
		looks[fmt.Sprint(icon.SVG(), filled && light < 0.5)] = true
	}
	assert.Len(t, looks, 5)
}

// 2300 findings are no 2300 decisions, and no 229 sheets.
func TestPDF_ManyFindings(t *testing.T) {
	if testing.Short() {
		t.Skip("it prints a long record")
	}
	s := sheet.New(sheettest.Crowded())
	require.Len(t, s.Findings, 2300)
	assert.Less(t, len(s.Events), 130)
	info := reader(t, pdf(t, s, sheet.Metric, layout.A4), "pdfinfo", nil)
	pages, err := strconv.Atoi(regexp.MustCompile(`Pages: +(\d+)`).FindStringSubmatch(info)[1])
	require.NoError(t, err)
	t.Logf("%d findings, %d events, %d sheets", len(s.Findings), len(s.Events), pages)
	assert.Less(t, pages, 40)
}
