package sheet_test

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
	"arctally/analyze/inspect"
	"arctally/analyze/pass"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func numbersOf(p sheet.EventPage) (numbers []int) {
	for _, e := range p.Events {
		numbers = append(numbers, e.Number)
	}
	return numbers
}

func TestEventPage(t *testing.T) {
	s := slipped() // 1 is a slip at 214 deg, 2 a setting over passes 2 and 3, 6 an arc lost in pass 3
	p := s.EventPage(sheet.EventChoice{}, 0, sheet.Metric)
	arc := p.Events[0]
	assert.Equal(t, "arc lost", arc.Cause, "0.3 s were allowed and 2 s it was: the furthest out")
	assert.Equal(t, []int{arc.Number, 1, 2}, numbersOf(p))
	assert.Equal(t, []any{3, 3, 6, 3}, []any{p.All, p.Open, p.OpenFindings, p.Chosen})
	assert.Equal(t, arc.Number, *p.Next)
	slip := p.Events[1]
	assert.Equal(t, "pass 1, layer 1, from 214 ±2.5 deg at 20.0 mm depth", slip.Where)
	assert.Equal(t, "wire speed 3.75 m/min, limit 4.50 m/min", slip.Worst)
	assert.Equal(t, 7, *slip.Turn, "20 mm at 3 mm a turn are six turns and more")
	assert.Nil(t, p.Events[2].Turn, "what concerns whole passes began in no turn")
	assert.Contains(t, s.EventPage(sheet.EventChoice{}, 0, sheet.US).Events[1].Where, "0.79 in")

	assert.Equal(t, []sheet.EventOption{{Value: "1", Count: 1}, {Value: "2", Count: 1}, {Value: "3", Count: 2}}, p.Choices.Pass)
	of := s.EventPage(sheet.EventChoice{Pass: 3, Rule: "voltage"}, 0, sheet.Metric)
	assert.Equal(t, []int{2}, numbersOf(of))
	assert.Equal(t, []sheet.EventOption{{Value: "1", Count: 1}, {Value: "2", Count: 1}, {Value: "3", Count: 1}}, of.Choices.Pass, "of the rule that is chosen")
	assert.Equal(t, []sheet.EventOption{{Value: "arc_out", Count: 1}, {Value: "voltage", Count: 1}}, of.Choices.Rule, "of the pass that is chosen")
	assert.Empty(t, s.EventPage(sheet.EventChoice{State: sheet.DecidedEvents}, 0, sheet.Metric).Events)
	assert.Empty(t, s.EventPage(sheet.EventChoice{Cause: "slip"}, 0, sheet.Metric).Events, "a cause is chosen by all of its words")
	assert.Equal(t, []int{1}, numbersOf(s.EventPage(sheet.EventChoice{Cause: "slip of the wire", Layer: 1}, 0, sheet.Metric)))

	byPass := s.EventPage(sheet.EventChoice{Group: sheet.ByPass}, 0, sheet.Metric)
	assert.Equal(t, []int{1, 2, arc.Number}, numbersOf(byPass))
	assert.Equal(t, "Pass 2", byPass.Events[1].Group)
	byLayer := s.EventPage(sheet.EventChoice{Group: sheet.ByLayer}, 0, sheet.Metric)
	assert.Equal(t, "Several layers, or not known", byLayer.Events[2].Group)
	assert.Equal(t, "Layer 1", byLayer.Events[0].Group)
	byCause := s.EventPage(sheet.EventChoice{Group: sheet.ByCause}, 0, sheet.Metric)
	assert.Equal(t, "arc lost", byCause.Events[0].Group)
}

// What is decided stands after what is open, and what is to be repaired between them.
func TestEventPage_byState(t *testing.T) {
	s := slipped()
	s.Events[2].State, s.Events[0].State = inspect.Accepted, inspect.ToRepair
	p := s.EventPage(sheet.EventChoice{}, 0, sheet.Metric)
	assert.Equal(t, []int{2, 1, s.Events[2].Number}, numbersOf(p))
	assert.Equal(t, 2, *p.Next)
	assert.Equal(t, []int{2, 1}, numbersOf(s.EventPage(sheet.EventChoice{State: sheet.OpenEvents}, 0, sheet.Metric)), "what is to be repaired is open")
	assert.Equal(t, []sheet.EventOption{{Value: "decided", Count: 1}, {Value: "open", Count: 2}}, p.Choices.State)
	s.Events[1].State = inspect.ToRepair
	assert.Nil(t, s.EventPage(sheet.EventChoice{}, 0, sheet.Metric).Next)
}

// Many is a record of so many findings, each an event of its own cause and place as far as there are any.
func many(n int) *sheet.Sheet {
	in := sheettest.Input()
	in.Result.Passes, in.Result.Findings = nil, nil
	rules := []finding.Rule{finding.ArcOut, finding.Voltage, finding.Current, finding.WireSpeed, finding.GasFlow, finding.ShortRate, finding.TravelSpeed}
	for k := range n {
		inPass, rule := 1+k/60, rules[k%len(rules)]
		if inPass > len(in.Result.Passes) {
			in.Result.Passes = append(in.Result.Passes, sheettest.Pass(inPass))
		}
		f := sheettest.Finding(k+1, rule, float64(k*37%360), float64(k%60), 2, 1)
		f.Pass, f.Layer, f.Start = inPass, 1+inPass/8, pass.Moment{Tick: in.Result.Passes[inPass-1].Start.Tick + int64(k%60)*14e9}
		in.Result.Findings = append(in.Result.Findings, f)
	}
	return sheet.New(in)
}

// However many findings a record has, an answer holds a page of them, and going on from page to page
// shows each event once.
func TestEventPage_isBounded(t *testing.T) {
	s := many(2300)
	seen := map[int]bool{}
	all := s.EventPage(sheet.EventChoice{}, 0, sheet.Metric).All
	require.Greater(t, all, 100)
	for from := 0; from < all; from += sheet.MostOnPage {
		p := s.EventPage(sheet.EventChoice{Group: sheet.ByPass}, from, sheet.Metric)
		require.LessOrEqual(t, len(p.Events), sheet.MostOnPage)
		text, err := json.Marshal(p)
		require.NoError(t, err)
		require.Less(t, len(text), 64<<10)
		for _, e := range p.Events {
			require.False(t, seen[e.Number], "event %d twice", e.Number)
			seen[e.Number] = true
			one, ok := s.EventAlone(e.Number, sheet.EventChoice{}, 0, sheet.Metric)
			require.True(t, ok)
			require.LessOrEqual(t, len(one.Findings), sheet.MostFindings)
		}
	}
	assert.Len(t, seen, all)
	assert.Empty(t, s.EventPage(sheet.EventChoice{}, 1e6, sheet.Metric).Events)
}

// Whoever goes from open event to open event, decides on each and goes on, has each of them once, in
// the order of the list, whatever is chosen, and comes to an end.
func TestEventAlone_goesThroughAll(t *testing.T) {
	for _, c := range []sheet.EventChoice{{}, {State: sheet.OpenEvents, Group: sheet.ByPass}, {Group: sheet.ByCause}, {Rule: "voltage", Group: sheet.ByLayer}} {
		s := many(300)
		p := s.EventPage(c, 0, sheet.Metric)
		order := numbersOf(p)
		var went []int
		for at := p.Next; at != nil; {
			one, ok := s.EventAlone(*at, c, 0, sheet.Metric)
			require.True(t, ok)
			require.Equal(t, p.Chosen-len(went), one.Undecided)
			for k := range s.Events {
				if s.Events[k].Number == *at {
					s.Events[k].State = inspect.Accepted
				}
			}
			went = append(went, *at)
			require.LessOrEqual(t, len(went), p.Chosen)
			at = one.Next
		}
		assert.Len(t, went, p.Chosen, "%+v", c)
		assert.Equal(t, order, went[:len(order)], "%+v", c)
	}
}

func TestEventAlone(t *testing.T) {
	s := slipped()
	one, ok := s.EventAlone(1, sheet.EventChoice{}, 0, sheet.US)
	require.True(t, ok)
	assert.Equal(t, "slip of the wire", one.Event.Cause)
	assert.Len(t, one.Findings, 3)
	assert.Equal(t, s.Findings[0].SentenceFor(sheet.US), one.Findings[0].Sentence)
	assert.Equal(t, 2, *one.Next)
	assert.Equal(t, s.Events[2].Number, *one.Previous)
	one, _ = s.EventAlone(1, sheet.EventChoice{}, 2, sheet.Metric)
	assert.Equal(t, 3, one.Findings[0].Number)
	decided, _ := s.EventAlone(1, sheet.EventChoice{State: sheet.DecidedEvents}, 0, sheet.Metric)
	assert.Equal(t, one.Next, decided.Next, "whoever looks at what is decided goes on to what is not")
	_, ok = s.EventAlone(99, sheet.EventChoice{}, 0, sheet.Metric)
	assert.False(t, ok)
	alone, _ := s.EventAlone(1, sheet.EventChoice{Pass: 1}, 0, sheet.Metric)
	assert.Nil(t, alone.Next, "there is no other event in that pass")
	assert.Nil(t, alone.Previous)
}

// A station out of its limits shows as such, above and below them, and inside is not the same as unknown.
func TestMachiningRows_beyond(t *testing.T) {
	in := sheettest.Decided()
	m := sheettest.Machining()
	m.Stations[0].Diameter, m.Stations[1].Diameter = 0.0901, 0.0899
	in.Entries[3].Machining = m
	beyond := func() (text []string) {
		for _, row := range sheet.New(in).EventPage(sheet.EventChoice{}, 0, sheet.Metric).Machining[0].Stations[:3] {
			if row.Beyond == nil {
				text = append(text, "null")
				continue
			}
			text = append(text, fmt.Sprintf("%.3f", *row.Beyond))
		}
		return text
	}
	assert.Equal(t, []string{"0.065", "-0.100", "0.000"}, beyond())
	m.Wanted = quantity.Range[quantity.Metres]{}
	assert.Equal(t, []string{"null", "null", "null"}, beyond())
}
