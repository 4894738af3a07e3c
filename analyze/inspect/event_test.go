package inspect

import (
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/analyze/finding"
)

// slip is a wire that slipped: three findings of one event, and an arc-out beside it.
func slip() []finding.Finding {
	wire, current, voltage := found(1, finding.WireSpeed, 10e9), found(2, finding.Current, 10e9), found(3, finding.Voltage, 10e9)
	wire.Worst, current.Worst = 0.1, 0.1
	return []finding.Finding{wire, current, voltage, found(4, finding.ArcOut, 90e9)}
}

// An event stands as its findings do; where some were decided on and some not, that is said.
func TestFold_eventStates(t *testing.T) {
	findings := slip()
	for _, c := range []struct {
		decisions []Decision // of the findings of the event, empty is none
		want      State
		open      int
	}{
		{[]Decision{"", "", ""}, Open, 3},
		{[]Decision{KeepOpen, KeepOpen, KeepOpen}, Open, 3},
		{[]Decision{Accept, Accept, Accept}, Accepted, 0},
		{[]Decision{MachinedAway, MachinedAway, MachinedAway}, Removed, 0},
		{[]Decision{Repair, Repair, Repair}, ToRepair, 3},
		{[]Decision{Accept, "", ""}, PartlyDecided, 2},
		{[]Decision{"", "", Accept}, PartlyDecided, 2},
		{[]Decision{Repair, Accept, ""}, PartlyDecided, 2},
		{[]Decision{Accept, KeepOpen, Repair}, PartlyDecided, 2},
		{[]Decision{Accept, Repair, MachinedAway}, ToRepair, 1},
		{[]Decision{Accept, Accept, MachinedAway}, Decided, 0},
		{[]Decision{Accept, MachinedAway, Repair}, ToRepair, 1},
	} {
		var entries []Entry
		for k, d := range c.decisions {
			if d != "" {
				entries = append(entries, decided(len(entries)+1, findings[k], d))
			}
		}
		book := Fold(entries, findings)
		require.Len(t, book.Events, 2)
		require.Equal(t, []int{1, 2, 3}, book.Events[0].Findings)
		require.Equal(t, c.want, book.Events[0].State, c.decisions)
		require.Equal(t, c.open, book.Events[0].Open, c.decisions)
		require.Equal(t, Open, book.Events[1].State)
	}
}

// A decision on an event is one act: an entry about each finding, in the same words.
func TestDecide(t *testing.T) {
	findings := slip()
	book := Fold(nil, findings)
	act, err := book.Decide(book.EventOf(2), decided(0, finding.Finding{}, Accept))
	require.NoError(t, err)
	require.Len(t, act, 3)
	for k := range act {
		require.NoError(t, act[k].Check())
		require.Equal(t, Refer(&findings[k]), act[k].Disposition.Of)
		require.Equal(t, Accept, act[k].Disposition.Decision)
		require.True(t, act[k].SameAct(&act[0]))
		act[k].Number = k + 1
	}
	book = Fold(act, findings)
	require.Equal(t, Accepted, book.Event(1).State)
	require.Equal(t, 1, book.OpenEvents())
	require.Equal(t, 1, book.Open())
	require.Nil(t, book.Event(7))

	// It is corrected as one, by any of its entries; what was not in it gets an entry as well.
	first := act[:2]
	book = Fold(first, findings)
	again := decided(0, finding.Finding{}, Repair)
	again.Corrects = 2
	correction, err := book.Decide(book.Event(1), again)
	require.NoError(t, err)
	require.Equal(t, []int{1, 2, 0}, []int{correction[0].Corrects, correction[1].Corrects, correction[2].Corrects})
	for k := range correction {
		require.NoError(t, correction[k].Follows(first))
		correction[k].Number = k + 3
	}
	book = Fold(slices.Concat(first, correction), findings)
	require.Equal(t, ToRepair, book.Event(1).State)
	require.Equal(t, 3, book.Findings[0].History[0].CorrectedBy)

	// Who corrects what was corrected is told so, as with a single entry.
	all := slices.Concat(first, correction)
	twice, err := book.Decide(book.Event(1), again)
	require.NoError(t, err)
	require.Equal(t, []int{0, 2, 0}, []int{twice[0].Corrects, twice[1].Corrects, twice[2].Corrects})
	require.ErrorContains(t, twice[1].Follows(all), "entry 4 took the place of entry 2 before")

	again.Corrects = 9
	_, err = book.Decide(book.Event(1), again)
	require.ErrorContains(t, err, "there is no entry 9 about event 1")
}

// Another act about one of the findings stays as it is when an event is corrected.
func TestDecide_otherActsStay(t *testing.T) {
	findings := slip()
	entries := []Entry{decided(1, findings[0], Accept), decided(2, findings[1], Accept)} // at other times: two acts
	book := Fold(entries, findings)
	again := decided(0, finding.Finding{}, Repair)
	again.Corrects = 2
	act, err := book.Decide(book.Event(1), again)
	require.NoError(t, err)
	require.Equal(t, []int{0, 2, 0}, []int{act[0].Corrects, act[1].Corrects, act[2].Corrects})
	other := entries[0]
	other.By = "Inspector 2"
	require.False(t, other.SameAct(&entries[0]))
	require.False(t, (&Entry{Machining: &Machining{}}).SameAct(&entries[0]))
}

// Whatever was decided, the events that are open and those that are not are all of them, and an
// event is open where one of its findings is.
func TestFold_eventsAddUp(t *testing.T) {
	rules := []finding.Rule{finding.WireSpeed, finding.Current, finding.Voltage, finding.ArcOut, finding.HeatInput, finding.GasFlow}
	for seed := range uint64(300) {
		r := rand.New(rand.NewPCG(seed, 3))
		var findings []finding.Finding
		var entries []Entry
		for k := range r.IntN(20) {
			f := found(k+1, rules[r.IntN(len(rules))], int64(r.IntN(60))*1e9+int64(k))
			findings = append(findings, f)
			if r.IntN(2) == 0 {
				entries = append(entries, decided(len(entries)+1, f, Decisions[r.IntN(len(Decisions))]))
			}
		}
		book := Fold(entries, findings)
		closed, open, within := 0, 0, 0
		for _, e := range book.Events {
			require.Equal(t, e.State.IsOpen(), e.Open > 0)
			within += len(e.Findings)
			open += e.Open
			if !e.State.IsOpen() {
				closed++
			}
		}
		require.Equal(t, len(book.Events), closed+book.OpenEvents())
		require.Equal(t, len(findings), within)
		require.Equal(t, book.Open(), open)
	}
}
