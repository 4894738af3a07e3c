package inspect

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
)

func found(number int, rule finding.Rule, tick int64) finding.Finding {
	return finding.Finding{
		Number: number, Rule: rule, Pass: 1, Layer: 1, Place: &bore.Place{Angle: 250, Depth: 0.0021},
		Start: pass.Moment{Epoch: 2, Tick: tick}, Worst: 2, Limit: 0.3, Beyond: 1.7, Sentence: "look for a hole in the bead",
	}
}

func decided(number int, f finding.Finding, d Decision) Entry {
	return Entry{
		Number: number, At: time.Unix(int64(number), 0), By: "Inspector 1",
		Disposition: &Disposition{Of: Refer(&f), Method: Visual, Result: NoIndication, Decision: d, Remark: "r"},
	}
}

func states(items []Item) (s []State) {
	for _, i := range items {
		s = append(s, i.State)
	}
	return s
}

func TestFold_EveryDecisionHasItsState(t *testing.T) {
	findings := []finding.Finding{
		found(1, finding.ArcOut, 1), found(2, finding.ArcOut, 2), found(3, finding.Voltage, 2), found(4, finding.ArcOut, 4), found(5, finding.ArcOut, 5),
	}
	book := Fold([]Entry{
		decided(1, findings[0], Accept), decided(2, findings[1], Repair), decided(3, findings[2], MachinedAway), decided(4, findings[3], KeepOpen),
	}, findings)
	require.Equal(t, []State{Accepted, ToRepair, Removed, Open, Open}, states(book.Findings))
	require.Equal(t, 3, book.Open())
	require.Nil(t, book.Findings[4].Current)
	require.Equal(t, 4, book.Findings[3].Current.Number)
	require.Len(t, book.Entries(), 4)
}

// A repair that was welded again is closed by a later entry; both stay.
func TestFold_LaterEntryCounts(t *testing.T) {
	f := found(1, finding.ArcOut, 1)
	book := Fold([]Entry{decided(1, f, Repair), decided(2, f, Accept)}, []finding.Finding{f})
	require.Equal(t, Accepted, book.Findings[0].State)
	require.Zero(t, book.Open())
	require.Len(t, book.Findings[0].History, 2)
}

func TestFold_CorrectionsStayVisible(t *testing.T) {
	first, second := found(1, finding.ArcOut, 1), found(2, finding.ArcOut, 2)
	wrong := decided(1, first, Accept)
	right := decided(2, second, Accept) // it was the other finding
	right.Corrects = 1
	book := Fold([]Entry{wrong, right}, []finding.Finding{first, second})
	require.Equal(t, []State{Open, Accepted}, states(book.Findings))
	require.Nil(t, book.Findings[0].Current)
	require.Equal(t, 2, book.Findings[0].History[0].CorrectedBy)
	require.Equal(t, 1, book.Open())

	// A correction of the correction brings back nothing by itself.
	again := decided(3, second, KeepOpen)
	again.Corrects = 2
	book = Fold([]Entry{wrong, right, again}, []finding.Finding{first, second})
	require.Equal(t, []State{Open, Open}, states(book.Findings))
	require.Equal(t, 3, book.Findings[1].History[0].CorrectedBy)
}

// Another program version numbers and words its findings anew, and finds one
// more; what was decided is found by rule and moment.
func TestFold_AnotherVersionOfTheProgram(t *testing.T) {
	then := found(1, finding.ArcOut, 500)
	entry := decided(1, then, Accept)
	now := found(3, finding.ArcOut, 500)
	now.Pass, now.Sentence, now.Worst, now.Place = 2, "other words", 2.0000001, nil
	book := Fold([]Entry{entry}, []finding.Finding{found(2, finding.Voltage, 500), now})
	require.Equal(t, []State{Open, Accepted}, states(book.Findings))
	require.Empty(t, book.Orphans)
	require.Equal(t, "look for a hole in the bead", book.Findings[1].Current.Disposition.Of.Sentence)
	require.False(t, book.Findings[1].Worse)

	other := found(1, finding.ArcOut, 500)
	other.Start.Epoch = 3
	book = Fold([]Entry{entry}, []finding.Finding{other})
	require.Equal(t, Open, book.Findings[0].State, "the same tick of another epoch is another moment")
}

func TestFold_OrphansAreShownAndCount(t *testing.T) {
	f, g, h := found(1, finding.ArcOut, 1), found(2, finding.ArcOut, 2), found(3, finding.ArcOut, 3)
	taken := decided(4, h, Accept)
	taken.Corrects = 3
	book := Fold([]Entry{decided(1, f, Accept), decided(2, g, Repair), decided(3, found(9, finding.Voltage, 9), Repair), taken}, nil)
	require.Equal(t, []State{Accepted, ToRepair, "", Accepted}, states(book.Orphans))
	require.Equal(t, 1, book.Open(), "what a person wants repaired stays open, whatever the program finds")
	require.Len(t, book.Entries(), 4)
}

// What has become worse since it was accepted is open again; what was to be
// machined away anyway is not.
func TestFold_WorseThanAccepted(t *testing.T) {
	then := found(1, finding.WallPatch, 1)
	now := then
	now.Worst = then.Limit + (then.Worst-then.Limit)*1.2
	book := Fold([]Entry{decided(1, then, Accept)}, []finding.Finding{now})
	require.True(t, book.Findings[0].Worse)
	require.Equal(t, Open, book.Findings[0].State)
	book = Fold([]Entry{decided(1, then, Accept), decided(2, now, Accept)}, []finding.Finding{now})
	require.Equal(t, Accepted, book.Findings[0].State)
	book = Fold([]Entry{decided(1, then, MachinedAway)}, []finding.Finding{now})
	require.Equal(t, Removed, book.Findings[0].State)
	low := then // below its limit, and further below
	low.Worst, low.Limit = 1, 2
	lower := low
	lower.Worst = 0.5
	require.True(t, Fold([]Entry{decided(1, low, Accept)}, []finding.Finding{lower}).Findings[0].Worse)
}

// Findings of one rule at one moment are at one spot.
func TestFold_TwoOfOneMoment(t *testing.T) {
	f := found(1, finding.ArcOut, 1)
	twin := f
	twin.Number = 2
	book := Fold([]Entry{decided(1, f, Accept)}, []finding.Finding{f, twin})
	require.Equal(t, []State{Accepted, Accepted}, states(book.Findings))
	require.Len(t, book.Entries(), 1)
}

func TestFold_MachiningsCorrected(t *testing.T) {
	old := Entry{Number: 1, By: "Inspector 1", Machining: &Machining{CleanedUp: NotSaid}}
	newer := Entry{Number: 2, By: "Inspector 1", Corrects: 1, Machining: &Machining{CleanedUp: AllRound}}
	book := Fold([]Entry{old}, nil)
	require.Equal(t, 1, book.Machining().Number)
	book = Fold([]Entry{old, newer}, nil)
	require.Equal(t, 2, book.Machining().Number)
	require.Equal(t, 2, book.Machinings[0].CorrectedBy)
	require.Nil(t, new(Book).Machining())
}

func machining(diameters ...quantity.Metres) *Machining {
	m := &Machining{Instrument: "bore gauge 2", CleanedUp: AllRound}
	for k, d := range diameters {
		m.Stations = append(m.Stations, Station{Depth: quantity.Metres(k/2) * 0.03, Angle: quantity.Degrees(k % 2 * 90), Diameter: d})
	}
	return m
}

// A tenth further out of its limit than when it was accepted may be another version's
// last digits; more is worse.
func TestFold_WorseByMoreThanATenth(t *testing.T) {
	then := found(1, finding.WallPatch, 1)
	then.Worst, then.Limit = 1, 0
	for worst, want := range map[float64]bool{1.1: false, 1.1000001: true} {
		now := then
		now.Worst = worst
		require.Equal(t, want, Fold([]Entry{decided(1, then, Accept)}, []finding.Finding{now}).Findings[0].Worse, "%v", worst)
	}
}

// An entry cannot take its own place.
func TestFold_NothingCorrectsItself(t *testing.T) {
	f := found(1, finding.ArcOut, 1)
	e := decided(1, f, Accept)
	e.Corrects = 1
	book := Fold([]Entry{e}, []finding.Finding{f})
	require.Equal(t, Accepted, book.Findings[0].State)
}
