package sheet

import (
	"encoding/json"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/heat"
	"arctally/analyze/pass"
	"arctally/analyze/procedure"
)

// provenInput is a job of which every pass is proved.
func provenInput() Input {
	in := inventedInput()
	in.Result.Findings = nil
	in.Result.Passes = []pass.Pass{inventedPass(1), inventedPass(2)}
	for k := range in.Result.Passes {
		b := inventedBudget()
		b[1].Due, b[2].Basis, b[2].Due = "2027-01-12", heat.Measured, "2027-01-12"
		in.Result.Passes[k].Budget = b
	}
	return in
}

func TestProofGolden(t *testing.T) {
	s, proven := New(inventedInput()), New(provenInput())
	for name, write := range map[string]func(io.Writer) error{
		"proof.txt":           func(w io.Writer) error { return s.ProofText(w, Linear) },
		"proof-simulated.txt": func(w io.Writer) error { return proven.ProofText(w, Simulated) },
	} {
		t.Run(name, func(t *testing.T) { golden(t, name, render(t, write)) })
	}
}

func TestProofJSONGolden(t *testing.T) {
	s, proven := New(inventedInput()), New(provenInput())
	golden(t, "proof.json", render(t, func(w io.Writer) error { return s.ProofJSON(w, Linear) }))
	assert.False(t, s.Proved())
	assert.True(t, proven.Proved())
}

func TestProofClaimsNoClause(t *testing.T) {
	for _, in := range []Input{inventedInput(), provenInput(), {Job: inventedJob()}} {
		text := strings.Join(strings.Fields(render(t, func(w io.Writer) error { return New(in).ProofText(w, Linear) })), " ")
		assert.Contains(t, text, "No conformity to a clause of a standard is claimed; only a person accepts.")
		assert.Contains(t, text, "claim: the heat input Q = k*E (EN 1011-1) of each pass")
		assert.Contains(t, text, "rule: guard band w = 1 U, U = k*u with the coverage factor k = 2")
	}
}

// Nothing known is null, and nothing at all is no proof.
func TestProofOfLittleKnowledge(t *testing.T) {
	for _, in := range []Input{
		{Job: inventedJob()},
		{Job: &procedure.Job{}, Result: inventedInput().Result},
		{Job: inventedJob(), Result: inventedInput().Result},
	} {
		s := New(in)
		assert.False(t, s.Proved())
		text := render(t, func(w io.Writer) error { return s.ProofJSON(w, Simulated) })
		var object map[string]any
		require.NoError(t, json.Unmarshal([]byte(text), &object))
		assert.IsType(t, []any{}, object["passes"])
		assert.IsType(t, []any{}, object["missing"])
		assert.Equal(t, false, object["proved"])
		assert.NotContains(t, render(t, s.HTML), "NaN")
	}
}

// The budget of a pass adds up: what the JSON says combines to what it says.
func TestUncertaintyRowAddsUp(t *testing.T) {
	row := New(inventedInput()).PassList().Passes[0].Uncertainty
	require.NotNil(t, row)
	sum, variance := 0.0, 0.0
	for _, c := range row.Components {
		sum += c.Contribution
		variance += c.Relative * c.Relative
	}
	assert.InDelta(t, 1, sum, 1e-12)
	assert.InEpsilon(t, *row.Relative**row.Relative, variance, 1e-12)
	assert.InEpsilon(t, 2**row.Standard, *row.Expanded, 1e-12)
	assert.InEpsilon(t, *New(inventedInput()).PassList().Passes[0].ExpandedUncertainty, *row.Expanded, 1e-5)
	assert.Greater(t, *row.Conformity, 0.9999)
	assert.Greater(t, row.Factor95, 1.96)
	assert.Less(t, row.Factor95, 2.0, "four degrees of freedom of the smallest part are many of the whole")
}

func TestPassNumbers(t *testing.T) {
	for want, numbers := range map[string][]int{
		"pass 3": {3}, "passes 1-3": {1, 2, 3}, "passes 1, 3-4, 9": {1, 3, 4, 9},
	} {
		assert.Equal(t, want, passNumbers(numbers))
	}
}

func TestHTMLShowsTheProof(t *testing.T) {
	html := page(t, inventedInput())
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
