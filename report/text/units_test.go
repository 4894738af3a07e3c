package text

import (
	"io"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/compare"
	"arctally/analyze/finding"
	planning "arctally/analyze/plan"
	"arctally/report/paper"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// The units of one system alone, where they stand as units: a wire of ER70S-6, a key in a table of bytes and 5 ml/100g are none.
var (
	metricUnit = regexp.MustCompile(`\b(kJ/mm|mm/min|m/min|mm/s|L/min|A/mm|mm2?|cm|degC|MPa)\b|\d (m|kg|g|L)(?: [a-z(]|[,.;)]|$)|°C|mm²`)
	usUnit     = regexp.MustCompile(`\b(kJ/in|in/min|in/s|A/in|ft3(/h)?|in2|degF|ksi|ft|lb)\b|\d in(?:[ ,.;)]|$)|°F`)
	typedText  = "measured at 21 degC" // a remark of the invented job, which stays as it was typed
)

// everything is a sheet that has every rule, each on both of its sides and with a sentence as it is filed.
func everything(t *testing.T) *sheet.Sheet {
	t.Helper()
	in := sheettest.Decided()
	in.Checks = sheettest.Checks()
	for _, rule := range rules(t) {
		for _, worst := range []float64{1, 3} {
			f := sheettest.Finding(len(in.Result.Findings)+1, rule, 200, 12.3, worst, 2)
			f.Sentence = f.Composed()
			in.Result.Findings = append(in.Result.Findings, f)
		}
	}
	in.Entries = nil
	return sheet.New(in)
}

func rules(t *testing.T) (rules []finding.Rule) {
	t.Helper()
	source, err := os.ReadFile("../../analyze/finding/rules.go")
	require.NoError(t, err)
	for _, found := range regexp.MustCompile(`Rule += "(\w+)"`).FindAllStringSubmatch(string(source), -1) {
		rules = append(rules, finding.Rule(found[1]))
	}
	require.Greater(t, len(rules), 30)
	return rules
}

// views are all that a person reads of a sheet, in the units asked for.
func views(t *testing.T, s *sheet.Sheet, u sheet.Units) map[string]string {
	t.Helper()
	seen := map[string]string{
		"passes":     sheettest.Render(t, func(w io.Writer) error { return Passes(w, s, u) }),
		"findings":   sheettest.Render(t, func(w io.Writer) error { return Findings(w, s, u) }),
		"events":     sheettest.Render(t, func(w io.Writer) error { return Chosen(w, s, u, sheet.Choice{}, true) }),
		"proof":      sheettest.Render(t, func(w io.Writer) error { return Proof(w, s, u, sheet.Simulated) }),
		"entries":    sheettest.Render(t, func(w io.Writer) error { return Entries(w, s, u) }),
		"checks":     sheettest.Render(t, func(w io.Writer) error { return Checks(w, sheet.CheckList{Checks: s.Checks}, u, time.Time{}) }),
		"comparison": sheettest.Render(t, func(w io.Writer) error { return Comparison(w, s, u, sheettest.Comparison(compare.Turns)) }),
		"paper":      withoutMarkup(sheettest.Render(t, func(w io.Writer) error { return paper.With{}.HTML(w, s, u) })),
	}
	if s.Wall != nil {
		seen["map"] = sheettest.Render(t, func(w io.Writer) error { return Map(w, s, sheet.StockLayer, u, 0.0003) })
	}
	return seen
}

var (
	styles = regexp.MustCompile(`(?s)<style.*?</style>`)
	markup = regexp.MustCompile(`<[^>]*>`)
)

func withoutMarkup(page string) string {
	return markup.ReplaceAllString(styles.ReplaceAllString(page, ""), " ")
}

// A reader has one system of units before him, in every sentence and table, whatever went wrong.
func TestUnits_AreNeverMixed(t *testing.T) {
	for name, s := range map[string]*sheet.Sheet{"everything": everything(t), "decided": sheet.New(sheettest.Decided()), "turning": sheettest.BySweep()} {
		for _, test := range []struct {
			of    sheet.Units
			wrong *regexp.Regexp
		}{{sheet.US, metricUnit}, {sheet.Metric, usUnit}} {
			for view, text := range views(t, s, test.of) {
				for _, line := range strings.Split(text, "\n") {
					line = strings.ReplaceAll(line, typedText, "")
					assert.NotRegexp(t, test.wrong, line, "%s of %s", view, name)
				}
			}
		}
	}
}

// JSON is metric throughout, figures and sentences, whoever reads it.
func TestUnits_OfJSONAreMetric(t *testing.T) {
	s := everything(t)
	for _, write := range []func(io.Writer) error{s.PassesJSON, s.FindingsJSON, func(w io.Writer) error { return s.ProofJSON(w, sheet.Linear) }} {
		assert.NotRegexp(t, usUnit, sheettest.Render(t, write))
	}
}

// A plan too has one system, whatever it warns of.
func TestUnits_OfAPlanAreNeverMixed(t *testing.T) {
	job := sheettest.Job()
	job.Setpoints.TravelSpeed, job.Bore.WeldToDiameter = 0.020, 0.0715
	made, err := planning.Make(job, planning.Options{})
	require.NoError(t, err)
	require.Greater(t, len(made.Warnings), 2)
	s := sheet.NewPlan(job, made)
	assert.NotRegexp(t, metricUnit, sheettest.Render(t, func(w io.Writer) error { return Plan(w, s, sheet.US) }))
	assert.NotRegexp(t, usUnit, sheettest.Render(t, func(w io.Writer) error { return Plan(w, s, sheet.Metric) }))
}

// No view shows a person the key of a rule, a warning or a reason.
func TestWords_NoKeyIsShown(t *testing.T) {
	s := everything(t)
	for view, text := range views(t, s, sheet.Metric) {
		for _, rule := range rules(t) {
			if strings.Contains(string(rule), "_") {
				assert.NotContains(t, strings.ReplaceAll(text, string(rule)+" out of its limit", ""), string(rule), view) // a sentence of the invented job
			}
		}
		assert.NotRegexp(t, `\b(no-(calibration|check|window|travel|energy)|averaged-power|declared-travel|calibration-overdue|clock-back)\b`, text, view)
	}
}
