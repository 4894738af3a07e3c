package paper

import (
	"bytes"
	"encoding/json"
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
	"arctally/analyze/waveform"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestSheet_checksAreOnThePaper(t *testing.T) {
	s := sheet.New(sheet.Input{Job: &procedure.Job{}, Checks: sheettest.Checks()})
	var page, list bytes.Buffer
	require.NoError(t, With{}.HTML(&page, s, sheet.Metric))
	require.Contains(t, page.String(), "<h3>Set-up checks</h3>")
	require.Contains(t, page.String(), `<th scope="row">meter of voltage</th><td data-head="When">2026-05-04 07:40 UTC</td><td data-head="By">Operator 1</td>`+
		`<td data-head="Instrument">meter 3, certificate C-44</td><td data-head="Due">2026-06-01</td>`)
	require.Contains(t, page.String(), "It is bound to box B-0007.")
	require.Contains(t, page.String(), "It was taken over from check 2 of first.arctally (fingerprint 0123456789ab) 3 h 20 min after it was made")
	require.NotContains(t, page.String(), " ns of epoch", "a reader of the paper has no use for ticks")
	require.NoError(t, s.PassesJSON(&list))
	require.Contains(t, list.String(), `"check": "meter"`)
	page.Reset()
	require.NoError(t, With{}.HTML(&page, sheet.New(sheet.Input{Job: &procedure.Job{}}), sheet.Metric))
	require.Contains(t, page.String(), "No set-up check is on record.")
}

func TestCourse_inTheWeldRecord(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, With{}.HTML(&b, sheettest.Coursed(), sheet.Metric))
	for _, want := range []string{"20.00, short of 20.00", "20.00, on with 1", "Typed in", "temperature 180 degC", "<td>pass 2</td>", "<td>no pass</td>", "bottle &lt;changed&gt;"} {
		require.Contains(t, b.String(), want)
	}
}

func TestCourse_everyDepartureHasItsWords(t *testing.T) {
	p := &sheet.Pass{}
	for _, p.Course = range sheettest.Unplanned {
		require.NotEmpty(t, courseWords(p))
	}
	p.Course = pass.Course{State: pass.Complete}
	require.Empty(t, courseWords(p))
}

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

func page(t *testing.T, in sheet.Input) string {
	t.Helper()
	html := sheettest.Render(t, pageOf(sheet.New(in)))
	wellFormed(t, html)
	return html
}

// A picture that two entries show is in the page once, with the words of both; and
// what was said before a correction stays.
func TestHTMLShowsAPictureOnceWithAllItsWords(t *testing.T) {
	in := sheettest.Decided()
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
	html := page(t, sheettest.Input())
	for number := 1; number <= 5; number++ {
		assert.Contains(t, html, fmt.Sprintf(`<tr id="pass-%d">`, number))
	}
	for _, f := range sheettest.Input().Result.Findings {
		assert.Contains(t, html, f.Sentence)
	}
	for _, w := range sheettest.Input().Result.Warnings {
		assert.Contains(t, html, w.Text)
	}
	for _, words := range []string{
		"The heat input is outside in pass", "7 findings are open", "131° ±2.5° at 4.5 mm", "All of their passes, without an angle:</b> events 5 to 7.",
		"16.5 to 19.0 V", "in date at the first arc", "overdue at the first arc", "none on record", "B-0007", "port /dev/a", "no claim of conformity",
		"no safety device", "5f0c9e1d77aa0b42c6d3e8f1905b7a64", "80 deg to 116 deg", "Inspector: name, signature, date",
	} {
		assert.Contains(t, html, words)
	}
	assert.NotRegexp(t, loads, html)
	assert.NotContains(t, html, "NaN")
	assert.NotContains(t, html, "ZgotmplZ", "the template refused a value")
}

func TestHTMLIsTheSameForTheSameRecord(t *testing.T) {
	first := page(t, sheettest.Input())
	assert.Equal(t, first, page(t, sheettest.Input()))
	assert.NotContains(t, first, "made 2")
	in := sheettest.Input()
	in.Made = time.Date(2026, 3, 3, 9, 30, 0, 0, time.UTC)
	assert.Contains(t, page(t, in), "made 2026-03-03 09:30 UTC")
}

func TestHTMLEscapes(t *testing.T) {
	const hostile = `</title></style><script>alert("x")</script>'\"}`
	in := sheettest.Input()
	in.RecordName, in.Fingerprint = hostile, hostile
	in.Job.Name, in.Job.Procedure.Name, in.Job.Material.Grade, in.Job.People.Operator = hostile, hostile, hostile, hostile
	in.Source.Name, in.Source.Calibration = hostile, hostile
	in.Instruments[0].Certificate = hostile
	in.Result.Findings[0].Sentence, in.Result.Findings[0].Rule = hostile, hostile
	in.Result.Warnings[0].Text, in.Result.Warnings[0].Kind = hostile, hostile
	html := page(t, in)
	assert.NotRegexp(t, loads, html)
	assert.Equal(t, 1, strings.Count(html, "</style>"))
	assert.Equal(t, strings.Count(page(t, sheettest.Input()), "<title>"), strings.Count(html, "<title>"))
}

func TestHTMLOfLittleKnowledge(t *testing.T) {
	bare := func(passes ...pass.Pass) sheet.Input {
		return sheet.Input{Job: &procedure.Job{}, Result: analyze.Result{Passes: passes}}
	}
	for name, c := range map[string]struct {
		in   sheet.Input
		want string
	}{
		"nothing at all":      {bare(), "No pass was found in this record."},
		"a pass without data": {bare(sheettest.UnknownPass(1)), "The heat input is not judged"},
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

// A weld that cools faster than shops have it is told in the record, on page and paper.
func TestRecord_CautionAboutFastCooling(t *testing.T) {
	in := sheettest.Input()
	in.Job.Material.Thickness = 0.030
	assert.Contains(t, page(t, in), "the weld takes 2.0 s from 800 to 500 degC, less than 10.0 s: the steel beside it may harden")
	in.Job.Material.Thickness = 0
	assert.NotContains(t, page(t, in), "may harden")
}

func TestHTMLOfABeadOnAPlate(t *testing.T) {
	in := sheettest.Input()
	in.Job.Deposit.Pattern, in.Job.Bore = bore.Straight, bore.Bore{}
	html := page(t, in)
	assert.Contains(t, html, "no bore to draw")
	assert.Contains(t, html, in.Result.Findings[0].Sentence)
}

func TestHTMLOfALongJob(t *testing.T) {
	in := sheettest.Input()
	in.Result.Passes = nil
	for number := 1; number <= 200; number++ {
		in.Result.Passes = append(in.Result.Passes, sheettest.Pass(number))
	}
	for number := 8; number <= 200; number++ {
		in.Result.Findings = append(in.Result.Findings, sheettest.Finding(number, finding.Current, float64(number*37%360), float64(number*7%60), 170, 160))
	}
	html := page(t, in)
	assert.Equal(t, 200, strings.Count(html, `<tr id="pass-`))
	assert.Equal(t, len(sheet.New(in).Events), strings.Count(html, `data-head="Disposition`))
	assert.Contains(t, html, "findings of current, in pass")
	assert.Contains(t, page(t, sheettest.Long()), "see the list", "events without room on the drawing must be told of")
}

// Nothing known is null, and nothing at all is no proof.
func TestProofOfLittleKnowledge(t *testing.T) {
	for _, in := range []sheet.Input{
		{Job: sheettest.Job()},
		{Job: &procedure.Job{}, Result: sheettest.Input().Result},
		{Job: sheettest.Job(), Result: sheettest.Input().Result},
	} {
		s := sheet.New(in)
		assert.False(t, s.Proved())
		text := sheettest.Render(t, func(w io.Writer) error { return s.ProofJSON(w, sheet.Simulated) })
		var object map[string]any
		require.NoError(t, json.Unmarshal([]byte(text), &object))
		assert.IsType(t, []any{}, object["passes"])
		assert.IsType(t, []any{}, object["missing"])
		assert.Equal(t, false, object["proved"])
		assert.NotContains(t, sheettest.Render(t, pageOf(s)), "NaN")
	}
}

func TestHTMLShowsTheProof(t *testing.T) {
	html := page(t, sheettest.Input())
	for _, words := range []string{
		"What the record proves", "0 of 5 passes are proved within", "Uncertainty budget of pass 1, the one that is known least",
		"no calibration of travel is on record; ±4.1 % stands in", "the calibration of current was due 2025-01-12", "certificate C-104",
		"<li>Passes 1-4: no calibration of travel", "<li>Pass 2: the travel is declared", "<li>Passes 1, 3: findings in the pass: 2",
		"No conformity to a clause of a standard is claimed", "Effective degrees of freedom",
	} {
		assert.Contains(t, html, words)
	}
	assert.Equal(t, 1, strings.Count(html, "no calibration of travel is on record; ±4.1 %"), "what is said of several passes is said once")
}

// A decision on a finding that this judgement does not have is not lost.
func TestOrphansAreKept(t *testing.T) {
	in := sheettest.Decided()
	in.Result.Findings = in.Result.Findings[2:]
	list := sheet.New(in).FindingList()
	require.Len(t, list.Orphans, 2)
	assert.Equal(t, "to repair", list.Orphans[1].State)
	html := page(t, in)
	assert.Contains(t, html, "decided on in another judgement")
	assert.Contains(t, html, "restart at 212 deg")
	assert.Contains(t, html, "bead even, no undercut", "a closed one is told of, too")
}

func TestNoNumberIsNoNumberOnThePage(t *testing.T) {
	in := sheettest.Input()
	in.Result.Passes = []pass.Pass{sheettest.NoNumberPass()}
	assert.NotContains(t, sheettest.Render(t, pageOf(sheet.New(in))), "NaN")
}

func TestPageErrorsOfTheWriterComeBack(t *testing.T) {
	sheettest.FailsWithTheWriter(t, "write weld record", pageOf(sheet.New(sheettest.Input())))
}

func TestHTML_currentByAngle(t *testing.T) {
	assert.Contains(t, sheettest.Render(t, pageOf(sheettest.BySweep())), "Current by angle")
}

func TestWaveform_onPaper(t *testing.T) {
	in := sheettest.Input()
	require.NotContains(t, sheettest.Render(t, pageOf(sheet.New(in))), "Short circuits", "nothing is known of them")
	for k := range in.Result.Passes {
		in.Result.Passes[k].Waveform = sheettest.Shorting()
	}
	page := sheettest.Render(t, pageOf(sheet.New(in)))
	require.Contains(t, page, "<h2>Short circuits</h2>")
	require.Contains(t, page, "No melting law could be fitted")
	require.NotContains(t, page, "pulses a second")
	require.Contains(t, page, "dip (82 shorts over 1 ms a second, 18 % of the time in the short).")
	in.Result.Melting = &waveform.Melting{Slope: 39.3 / 60e3}
	in.Result.Charts = []finding.PassChart{
		{Rule: finding.ContactDrift, Name: "Wire speed for an ampere", Passes: 8, Mean: 39.3 / 60e3, Low: 38.9 / 60e3, High: 39.7 / 60e3, RangeLimit: 0.5 / 60e3, Average: 39.4 / 60e3},
		{Rule: finding.Instability, Name: "Instability", Passes: 8, Refused: true},
	}
	page = sheettest.Render(t, pageOf(sheet.New(in)))
	require.Contains(t, page, "39.3 mm/min of wire for an ampere. This is an effective slope")
	require.Contains(t, page, "Wire speed for an ampere, mm/min/A: mean of the first 8 good passes 39.30, limits of a single pass 38.90 to 39.70")
	require.Contains(t, page, "Instability: each pass resembles the one before it too closely")
	in.Result.Melting = &waveform.Melting{Slope: 39.3 / 60e3, Apart: true, Anode: 0.45e-3, Joule: 1.4e-6}
	require.Contains(t, sheettest.Render(t, pageOf(sheet.New(in))), "a = 0.45 mm/s per A, b*L = 0.0014 mm/s per A^2")
}

func TestTransfer_pulsedOnPaper(t *testing.T) {
	in := sheettest.Input()
	for k := range in.Result.Passes {
		in.Result.Passes[k].Waveform = sheettest.Pulsing()
	}
	page := sheettest.Render(t, pageOf(sheet.New(in)))
	require.NotContains(t, page, "Short circuits")
	require.Contains(t, page, "<h2>Transfer</h2>")
	require.Contains(t, page, "121.5")
	require.Contains(t, page, "31.8")
}

// pageOf writes a sheet as a page.
func pageOf(s *sheet.Sheet) func(io.Writer) error { return pageIn(s, sheet.Metric) }

func pageIn(s *sheet.Sheet, u sheet.Units) func(io.Writer) error {
	return func(w io.Writer) error { return With{}.HTML(w, s, u) }
}
