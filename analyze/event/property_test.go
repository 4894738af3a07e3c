package event

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/finding"
)

// rules are all that a finding can be of.
var rules = []finding.Rule{
	finding.ArcOut, finding.ArcInGap, finding.BriefArcOuts, finding.Voltage, finding.Current, finding.TravelSpeed, finding.WireSpeed, finding.GasFlow,
	finding.Interpass, finding.ArcOnRatio, finding.ArcOnReturn, finding.Interrupted, finding.HeatInput, finding.LeftOut, finding.WeldedOver, finding.StrokeCount,
	finding.Stubbing, finding.WireSlip, finding.GasSignature, finding.ShortRate, finding.ContactDrift, finding.Instability, finding.TransferMode,
	finding.ArcUnrest, finding.PulseRate, finding.VoltageRisen, finding.CurrentFall, finding.WireWithoutArc, finding.VoltageOnly, finding.CurrentOnly,
	finding.OffCentre, finding.OvalBore, "a rule that nobody knows",
}

// laid are the findings of a record by chance: passes with any number of them, a flaw of the wall
// here and there. Passes ends with how many there were as each pass ended.
func laid(r *rand.Rand) (findings []finding.Finding, passes []int) {
	var flaw int
	for p := range 1 + r.IntN(12) {
		for range r.IntN(12) {
			f := at(len(findings)+1, p+1, rules[r.IntN(len(rules))], float64(1-2*r.IntN(2))*r.Float64(), 100*r.Float64(), 20*r.Float64())
			f.FromStart, f.ToEnd = r.IntN(3) == 0, r.IntN(3) == 0
			if f.Whole() {
				f.Place = nil
			}
			f.Layer = 1 + p/4
			findings = append(findings, f)
		}
		if flaw == 0 && r.IntN(4) == 0 && len(findings) > 2 {
			findings = append(findings, at(len(findings)+1, p+1, finding.WallPatch, 1, 50, 0))
			flaw = len(findings)
		}
		for k := range findings {
			if f := &findings[k]; flaw > 0 && f.Number != flaw && f.Place != nil && f.Rule == finding.ArcOut {
				f.PartOf = flaw
			}
		}
		passes = append(passes, len(findings))
	}
	return findings, passes
}

// upTo are the findings as they stood when there were so many.
func upTo(findings []finding.Finding, n int) []finding.Finding {
	early := slices.Clone(findings[:n])
	for k := range early {
		if early[k].PartOf > n {
			early[k].PartOf = 0
		}
	}
	return early
}

// byChance has a property hold for many records.
func byChance(t *testing.T, holds func(t *testing.T, r *rand.Rand, findings []finding.Finding, passes []int)) {
	t.Helper()
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 11))
		findings, passes := laid(r)
		t.Run(fmt.Sprint(seed), func(t *testing.T) { holds(t, r, findings, passes) })
		if t.Failed() {
			return
		}
	}
}

// Every finding is in exactly one event, at any moment; the numbers rise from 1, and the leading
// finding is one of its own.
func TestGroup_everyFindingOnce(t *testing.T) {
	byChance(t, func(t *testing.T, _ *rand.Rand, findings []finding.Finding, _ []int) {
		for n := range len(findings) + 1 {
			in, last := map[int]int{}, 0
			for _, e := range Group(upTo(findings, n)) {
				require.Greater(t, e.Number, last)
				last = e.Number
				require.Contains(t, e.Findings, e.Lead)
				require.NotEmpty(t, e.Passes)
				for _, number := range e.Findings {
					in[number]++
				}
			}
			for number := 1; number <= n; number++ {
				require.Equal(t, 1, in[number], "finding %d of %d", number, n)
			}
			require.Len(t, in, n)
			require.LessOrEqual(t, last, n)
		}
	})
}

// Neither the order in which findings are handed over matters, nor that in which those of a
// pass were filed.
func TestGroup_orderOfArrival(t *testing.T) {
	byChance(t, func(t *testing.T, r *rand.Rand, findings []finding.Finding, passes []int) {
		want := Group(findings)
		shuffled := slices.Clone(findings)
		r.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		require.Equal(t, want, Group(shuffled))

		filed := map[int]int{} // the number that a finding has in another order of its pass
		for k, to := range passes {
			from := 0
			if k > 0 {
				from = passes[k-1]
			}
			for n, other := range r.Perm(to - from) {
				filed[from+n+1] = from + other + 1
			}
		}
		for k := range shuffled {
			f := &shuffled[k]
			f.Number = filed[f.Number]
			if f.PartOf > 0 {
				f.PartOf = filed[f.PartOf]
			}
		}
		require.ElementsMatch(t, sets(want, func(n int) int { return filed[n] }), sets(Group(shuffled), func(n int) int { return n }))
	})
}

func sets(events []Event, number func(int) int) (all []string) {
	for _, e := range events {
		own := make([]int, len(e.Findings))
		for k, n := range e.Findings {
			own[k] = number(n)
		}
		slices.Sort(own)
		all = append(all, fmt.Sprint(e.Cause, own))
	}
	return all
}

// When later passes come an event keeps its number, its cause, its place and its findings; only what
// is a part of a flaw of the wall goes into that one, under the lowest number.
func TestGroup_numbersStay(t *testing.T) {
	byChance(t, func(t *testing.T, _ *rand.Rand, findings []finding.Finding, passes []int) {
		all := Group(findings)
		for _, n := range passes {
			for _, e := range Group(upTo(findings, n)) {
				k := slices.IndexFunc(all, func(o Event) bool { return slices.Contains(o.Findings, e.Findings[0]) })
				require.Subset(t, all[k].Findings, e.Findings)
				if all[k].Cause == FlawOfWall {
					require.LessOrEqual(t, all[k].Number, e.Number)
					continue
				}
				require.Equal(t, []any{e.Number, e.Cause, e.Lead, e.Place, e.Whole, e.Spread}, []any{all[k].Number, all[k].Cause, all[k].Lead, all[k].Place, all[k].Whole, all[k].Spread})
			}
		}
	})
}

// However many findings there are, what a person has to decide on stays within bounds.
func TestGroup_bounded(t *testing.T) {
	var findings []finding.Finding
	for p := range 100 {
		for k := range 23 {
			findings = append(findings, at(len(findings)+1, p+1, []finding.Rule{finding.Voltage, finding.Current, finding.ArcOut, finding.Stubbing}[k%4], 1, 5*float64(k), 1.5))
		}
	}
	require.Len(t, findings, 2300)
	events := Group(findings)
	require.Less(t, len(events), 5*(places+1))
	byCause := map[Cause]int{}
	for _, e := range events {
		byCause[e.Cause]++
		require.LessOrEqual(t, byCause[e.Cause], places+1)
	}
}
