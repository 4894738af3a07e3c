package workshop

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze"
	"arctally/analyze/now"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
	"arctally/cmd/internal/virtualbox"
	"arctally/report/page/live"
)

// lookEvery is how often, in ns of the box, the states of a repair are looked at.
const lookEvery = 100_000_000

// looker looks on at a repair that nothing paces, and holds each state against what no state
// may say.
type looker struct {
	t     *testing.T
	run   *analyze.Run
	board *live.Board
	at    time.Time
	next  int64
	calm  map[string]int64 // channels that are outside, since a tick
	seen  looked
	bead  map[string]live.Piece
	words map[string]bool // what a turn was called
	most  int             // the highest turn
}

// looked is what was there to be looked at: a rule that never applied held nothing up.
type looked struct{ states, outside, alarms, held, verdicts int }

func newLooker(t *testing.T, p *jobfile.File) *looker {
	return &looker{
		t: t, run: analyze.NewAhead(p.Job, nil), board: live.NewBoard(live.State{Record: "r"}, p.Job), calm: map[string]int64{},
		at: time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC), bead: map[string]live.Piece{}, words: map[string]bool{},
	}
}

// take takes a block, and looks where it is time.
func (l *looker) take(source *series.Source, b *series.Block) error {
	if err := l.run.Block(b); err != nil || b.At(0) < l.next {
		return err
	}
	l.next = b.At(0) + lookEvery
	l.look(source, live.LinkGood)
	return nil
}

// look shows the state as the monitor does, and holds it against the rules.
func (l *looker) look(source *series.Source, heard live.LinkState) {
	l.at = l.at.Add(lookEvery)
	s := l.run.Now()
	if l.board.WantsResult(&s) {
		l.board.Take(l.run.Result())
	}
	l.board.Lay(l.run.Trail().Drain())
	if news, any := l.board.BeadNews(); any {
		for _, p := range news.Pieces {
			l.bead[fmt.Sprint(p.Pass, p.Turn, p.From, p.Depth != nil)] = p
		}
	}
	l.board.Raw = &live.Raw{}
	l.board.Show(&s, l.run.Turn(), source, l.at)
	link := live.Link{State: heard, Words: "so it is heard"}
	l.board.Hear(link, []live.Box{{Link: link}}, l.at)
	for _, wrong := range slices.Concat(contradictions(&l.board.State), l.silences(&s)) {
		require.Fail(l.t, wrong, "at %.1f s: %+v", float64(s.Moment.Tick)*1e-9, l.board.State)
	}
}

// silences are what a state leaves unsaid: something in red of which no alarm tells.
func (l *looker) silences(s *now.Status) (all []string) {
	state := &l.board.State
	l.seen.states++
	l.seen.alarms += len(state.Alarms)
	if state.Held {
		l.seen.held++
	}
	if state.Pass != nil && state.Pass.Verdict != nil {
		l.seen.verdicts++
	}
	if p := state.Place; p != nil && p.TurnIs != nil {
		l.words[*p.TurnIs] = true
		l.most = max(l.most, *p.Turn)
	}
	for _, c := range state.Channels {
		since, was := l.calm[c.Name]
		switch {
		case c.State != live.Outside:
			delete(l.calm, c.Name)
		case !was:
			l.calm[c.Name] = s.Moment.Tick
		case s.Moment.Tick-since > 4*lookEvery && !alarmed(state, c.Name):
			all = append(all, c.Name+" is outside and no alarm says so")
		}
		if c.State == live.Outside {
			l.seen.outside++
		}
	}
	for _, d := range state.Deviations {
		if d.Lasted > 0.3 && !alarmed(state, d.Rule) {
			all = append(all, d.Rule+" deviates and no alarm says so")
		}
	}
	return all
}

// alarmed tells whether an alarm says that something is out at the moment.
func alarmed(s *live.State, rule string) bool {
	if rule == "rotation" {
		rule = "travel_speed"
	}
	return slices.ContainsFunc(s.Alarms, func(a live.Alarm) bool {
		return a.Now && (a.Rule == rule || a.Rule == "rotation" && rule == "travel_speed")
	})
}

// contradictions are what two parts of a state say against one another.
func contradictions(s *live.State) (all []string) {
	rule := func(holds bool, words string, values ...any) {
		if !holds {
			all = append(all, fmt.Sprintf(words, values...))
		}
	}
	outside := false
	for _, c := range s.Channels {
		outside = outside || c.State == live.Outside
		rule(c.State == live.NotJudged || c.Value != nil, "%s is judged and has no value", c.Name)
		rule(c.State != live.Outside || beyond(c.Value, c.Low, c.High), "%s is outside of limits that hold it", c.Name)
		rule(c.State == live.Outside || c.State == live.NotJudged || !beyond(c.Value, c.Low, c.High), "%s is %s beyond its limits", c.Name, c.State)
	}
	rule(s.Seen == nil || !outside, "it is calm, and something is outside")
	rule(s.Held == !s.ArcOn, "held %v, and the arc is on %v", s.Held, s.ArcOn)
	rule(s.Last == nil || s.Held, "what was known last is shown, and nothing is held")
	if p := s.Pass; p != nil {
		rule(p.Number == s.Counts.Passes+1, "pass %d is under way after %d", p.Number, s.Counts.Passes)
		rule(p.Verdict == nil || p.Value != nil, "a verdict without a value")
		rule(p.Verdict == nil || strings.HasPrefix(*p.Verdict, "outside") == beyond(p.Value, p.Low, p.High), "%v of %v..%v is %s", value(p.Value), value(p.Low), value(p.High), value(p.Verdict))
	}
	rule(s.Counts.Passes == 0 || !s.Held || s.Last != nil && s.Last.Pass != nil, "passes were laid, and none is shown")
	if p := s.Place; p != nil {
		rule(p.Turn == nil || *p.Turn > 0 && p.TurnIs != nil, "turn %v is no turn", value(p.Turn))
		rule(p.Turns == nil || p.Turn != nil && *p.Turn <= *p.Turns, "turn %v of %v", value(p.Turn), value(p.Turns))
		rule(p.Turn == nil || s.Pass != nil, "a turn, and no pass")
	}
	rule((s.Counts.Findings == 0) == (len(s.LastFindings) == 0), "%d findings, and %d shown", s.Counts.Findings, len(s.LastFindings))
	rule((s.Counts.Events == 0) == (len(s.LastEvents) == 0), "%d events, and %d shown", s.Counts.Events, len(s.LastEvents))
	if s.Link.State == live.LinkSilent || s.Link.State == live.LinkUnplugged {
		present := slices.ContainsFunc(s.Channels, func(c live.Channel) bool { return c.Value != nil })
		rule(!present && !s.ArcOn && s.Raw == nil && s.Place == nil && len(s.Deviations) == 0, "nothing is heard, and something is present")
		rule(alarmed(s, "link"), "nothing is heard, and no alarm says so")
		rule(!slices.ContainsFunc(s.Alarms, func(a live.Alarm) bool { return a.Now && a.Rule != "link" }), "nothing is heard, and something is out now")
	}
	last := int64(1 << 62)
	for _, a := range s.Alarms {
		rule(a.ID < last, "alarm %d stands behind %d", a.ID, last)
		last = a.ID
		rule(a.Words != "" && a.Began != "" && a.Rule != "", "alarm %d does not say what it is", a.ID)
		rule(a.Now || !a.Seen, "alarm %d is over and was seen", a.ID)
	}
	return all
}

// beyond tells whether a value lies beyond its limits.
func beyond(v, low, high *float64) bool {
	return v != nil && (low != nil && *v < *low || high != nil && *v > *high)
}

// value is what a pointer points at, for a message.
func value[V any](p *V) any {
	if p == nil {
		return nil
	}
	return *p
}

// TestLive_NoStateContradictsItself lays a repair in every pattern with all that goes wrong
// in the demo, and holds every state that a page is shown against the rules.
func TestLive_NoStateContradictsItself(t *testing.T) {
	for pattern, called := range map[string]string{"helix": "turn", "rings": "ring", "segment-reversing": "stroke", "segment-one-way": "stroke"} {
		t.Run(pattern, func(t *testing.T) {
			job := jobtest.Short(t, pattern, jobtest.TwoTurns)
			if called == "stroke" {
				job = jobtest.Folder(t, "length: 60 mm", jobtest.TwoTurns, jobtest.DemoPattern, "pattern: "+pattern, "start_angle: 0 deg", "start_angle: 116 deg")
			}
			p, err := jobfile.Read(job)
			require.NoError(t, err)
			boxes, err := virtualbox.New(p, (&virtualbox.Options{Speed: 1, Layers: 1, Faults: virtualbox.DefaultFaults}).Planned(p))
			require.NoError(t, err)
			l := newLooker(t, p)
			source := boxes[0].Plan().Source()
			require.NoError(t, l.run.Source(source))
			_, err = boxes[0].Each(t.Context(), func(b *series.Block) error { return l.take(&source, b) })
			require.NoError(t, err)
			l.look(&source, live.LinkSilent)
			l.look(&source, live.LinkUnplugged)
			result := l.run.Finish()
			l.look(&source, live.LinkGood)
			l.end(result)
			assert.Equal(t, map[string]bool{called: true}, l.words)
			assert.Equal(t, map[string]int{"turn": 3, "ring": 2, "stroke": 2}[called], l.most, "of a layer; a helix goes on a little beyond its two")
			for what, n := range map[string]int{"states": l.seen.states - 400, "outside": l.seen.outside, "alarms": l.seen.alarms, "held": l.seen.held, "verdicts": l.seen.verdicts} {
				assert.Positive(t, n, "%s: a rule that meets none holds nothing up", what)
			}
		})
	}
}

// TestLive_NoStateOfAStraightBeadContradictsItself: two beads on a plate, of which the second is
// too hot, have passes and no turns.
func TestLive_NoStateOfAStraightBeadContradictsItself(t *testing.T) {
	p, err := jobfile.Read(jobtest.Folder(t,
		"bore: {worn_diameter: 92.0 mm, finish_diameter: 90.0 mm, weld_to_diameter: 86.0 mm, length: 60 mm, axis: horizontal}\n", "",
		"deposit: {pattern: helix, pitch: 3.0 mm, wire_diameter: 0.9 mm, gaps: [{from: 80 deg, to: 116 deg}]}", "deposit: {pattern: straight, length: 100 mm, wire_diameter: 0.9 mm}",
		"rotation: {speed: 1.25 rpm, start_angle: 0 deg}\n", ""))
	require.NoError(t, err)
	l := newLooker(t, p)
	source := series.Source{Name: "box", Channels: []series.Channel{
		{Name: "voltage", Unit: "V", Scale: 0.01, Basis: series.Instantaneous}, {Name: "current", Unit: "A", Scale: 0.1, Basis: series.Instantaneous},
	}}
	require.NoError(t, l.run.Source(source))
	const step, perBlock = 1_000_000, 100
	for k := range 500 { // 50 s: an arc from 5 to 20 s, and from 25 to 40 s
		b := series.Block{Kind: series.Arc, Step: step, Tick: int64(k) * perBlock * step}
		for n := range perBlock {
			v, i := 1750+n%7, 1400-n%11
			switch at := k / 10; {
			case at < 5 || at >= 20 && at < 25 || at >= 40:
				v, i = n%2, n%2
			case at >= 30 && at < 35:
				v = 2300
			}
			b.V, b.I = append(b.V, int32(v)), append(b.I, int32(i))
		}
		require.NoError(t, l.take(&source, &b))
	}
	result := l.run.Finish()
	l.look(&source, live.LinkGood)
	assert.Len(t, result.Passes, 2)
	assert.Equal(t, 2, l.board.Last.Pass.Number)
	assert.Empty(t, l.words, "a straight bead has no turns")
	assert.Empty(t, l.board.Bead().Pieces, "nor a place on a wall")
	assert.Positive(t, l.seen.outside)
	assert.Positive(t, l.seen.held)
}

// end wants an alarm of every finding, and the bead whole.
func (l *looker) end(result analyze.Result) {
	t := l.t
	require.NotEmpty(t, result.Findings)
	var told []live.Alarm
	for len(l.board.Alarms) > 0 {
		told = append(told, l.board.Alarms...)
		var ids []int64
		for _, a := range l.board.Alarms {
			ids = append(ids, a.ID)
		}
		before := len(l.board.Alarms)
		l.board.Touch(ids, false)
		if len(l.board.Alarms) == before && l.board.Alarms[0].Seen {
			break
		}
	}
	for _, f := range result.Findings {
		assert.True(t, slices.ContainsFunc(told, func(a live.Alarm) bool { return a.Finding && a.Rule == string(f.Rule) }), "no alarm of finding %d: %s", f.Number, f.Sentence)
	}
	whole := l.board.Bead()
	require.NotEmpty(t, whole.Pieces)
	marked := 0
	for _, p := range whole.Pieces {
		assert.Equal(t, p, l.bead[fmt.Sprint(p.Pass, p.Turn, p.From, p.Depth != nil)], "what the events told is the whole")
		assert.True(t, p.Turn > 0 && p.To > p.From && p.Pass <= len(result.Passes), "%+v", p)
		if p.Finding {
			marked++
		}
	}
	assert.Positive(t, marked)
	assert.Less(t, marked, len(whole.Pieces))
}
