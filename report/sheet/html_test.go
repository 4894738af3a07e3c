package sheet

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/inspect"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// wellFormed walks the page with a tolerant parser that knows HTML's void
// elements, and fails on a tag that is not closed.
func wellFormed(t *testing.T, page string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict = false
	d.AutoClose = xml.HTMLAutoClose
	d.Entity = xml.HTMLEntity
	depth := 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		switch token.(type) {
		case xml.StartElement:
			depth++
		case xml.EndElement:
			depth--
		}
	}
	require.Zero(t, depth)
}

func page(t *testing.T, in Input) string {
	t.Helper()
	html := render(t, New(in).HTML)
	wellFormed(t, html)
	return html
}

// A picture that two entries show is in the page once, with the words of both; and
// what was said before a correction stays.
func TestHTMLShowsAPictureOnceWithAllItsWords(t *testing.T) {
	in := decidedInput()
	again := in.Entries[1].Photographs[0]
	again.Caption = "the same after boring"
	in.Entries[3].Photographs = []inspect.Photograph{again}
	html := page(t, in)
	assert.Equal(t, 1, strings.Count(html, "SHA-256 "+again.SHA256))
	assert.Contains(t, html, "after the penetrant, 130 deg<br>Also After machining, entry 4: the same after boring")
	assert.Contains(t, html, "keep open, visual, not inspected; remark: too hot to look at.")
	assert.Contains(t, html, "wanted 90.000 mm to 90.035 mm")
}

// loads is anything that a browser would fetch or run; a picture in the page
// itself is neither.
var loads = regexp.MustCompile(`(?i)https?://|<script|<link|<iframe|@import|\bsrc="[^d]|\bsrc="d[^a]|\bsrc=[^"]|\bhref=|url\((?:[^#)]|#[^)]*[^)a-z])`)

func TestHTMLHasEverythingAndLoadsNothing(t *testing.T) {
	html := page(t, inventedInput())
	for number := 1; number <= 5; number++ {
		assert.Contains(t, html, fmt.Sprintf(`<tr id="pass-%d">`, number))
	}
	for _, f := range inventedInput().Result.Findings {
		assert.Contains(t, html, f.Sentence)
	}
	for _, w := range inventedInput().Result.Warnings {
		assert.Contains(t, html, w.Text)
	}
	for _, words := range []string{
		"2 passes of 5 outside the heat input window", "7 findings are open", "131° at 4.5 mm", "Place not known:</b> finding 7",
		"16.5 to 19.0 V", "in date at the first arc", "overdue at the first arc", "none on record", "no claim of conformity",
		"no safety device", "5f0c9e1d77aa0b42c6d3e8f1905b7a64", "80 deg to 116 deg", "Inspector: name, signature, date",
	} {
		assert.Contains(t, html, words)
	}
	assert.NotRegexp(t, loads, html)
	assert.NotContains(t, html, "NaN")
	assert.NotContains(t, html, "ZgotmplZ", "the template refused a value")
}

func TestHTMLIsTheSameForTheSameRecord(t *testing.T) {
	first := page(t, inventedInput())
	assert.Equal(t, first, page(t, inventedInput()))
	assert.NotContains(t, first, "made 2")
	in := inventedInput()
	in.Made = time.Date(2026, 3, 3, 9, 30, 0, 0, time.UTC)
	assert.Contains(t, page(t, in), "made 2026-03-03 09:30 UTC")
}

func TestHTMLEscapes(t *testing.T) {
	const hostile = `</title></style><script>alert("x")</script>'\"}`
	in := inventedInput()
	in.RecordName, in.Fingerprint = hostile, hostile
	in.Job.Name, in.Job.Procedure.Name, in.Job.Material.Grade, in.Job.People.Operator = hostile, hostile, hostile, hostile
	in.Source.Name, in.Source.Calibration = hostile, hostile
	in.Instruments[0].Certificate = hostile
	in.Result.Findings[0].Sentence, in.Result.Findings[0].Rule = hostile, hostile
	in.Result.Warnings[0].Text, in.Result.Warnings[0].Kind = hostile, hostile
	html := page(t, in)
	assert.NotRegexp(t, loads, html)
	assert.Equal(t, 1, strings.Count(html, "</style>"))
	assert.Equal(t, strings.Count(page(t, inventedInput()), "<title>"), strings.Count(html, "<title>"))
}

func TestHTMLOfLittleKnowledge(t *testing.T) {
	bare := func(passes ...pass.Pass) Input {
		return Input{Job: &procedure.Job{}, Result: analyze.Result{Passes: passes}}
	}
	for name, c := range map[string]struct {
		in   Input
		want string
	}{
		"nothing at all":      {bare(), "No pass was found in this record."},
		"a pass without data": {bare(unknownPass(1)), "No pass could be judged for heat input."},
		"a moment":            {bare(pass.Pass{Number: 1}), "seconds on the clock of the source"},
	} {
		t.Run(name, func(t *testing.T) {
			html := page(t, c.in)
			assert.Contains(t, html, c.want)
			assert.NotContains(t, html, "NaN")
			assert.NotContains(t, html, "Inf")
		})
	}
}

func TestHTMLOfABeadOnAPlate(t *testing.T) {
	in := inventedInput()
	in.Job.Deposit.Pattern, in.Job.Bore = bore.Straight, bore.Bore{}
	html := page(t, in)
	assert.Contains(t, html, "no bore to draw")
	assert.Contains(t, html, in.Result.Findings[0].Sentence)
}

func TestHTMLOfALongJob(t *testing.T) {
	in := inventedInput()
	in.Result.Passes = nil
	for number := 1; number <= 200; number++ {
		in.Result.Passes = append(in.Result.Passes, inventedPass(number))
	}
	for number := 8; number <= 200; number++ {
		in.Result.Findings = append(in.Result.Findings, inventedFinding(number, finding.Current, float64(number*37%360), float64(number*7%60), 170, 160))
	}
	html := page(t, in)
	assert.Equal(t, 200, strings.Count(html, `<tr id="pass-`))
	assert.Equal(t, 200, strings.Count(html, `data-head="Disposition`))
	assert.Contains(t, html, "see the list", "findings without room on the drawing must be told of")
}
