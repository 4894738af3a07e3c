package event

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/pass"
)

// at is a finding at a place: the torch turns once in 48 s, 7.5 degrees a second.
func at(number, inPass int, rule finding.Rule, beyond, start, lasted float64) finding.Finding {
	return finding.Finding{
		Number: number, Rule: rule, Pass: inPass, Layer: 1, Start: pass.Moment{Tick: int64(1e9 * (1000*float64(inPass) + start))},
		Place:    &bore.Place{Angle: bore.NormalAngle(quantity.Degrees(7.5 * start)), Depth: 1e-3},
		Duration: quantity.Seconds(lasted), Worst: 10 + beyond, Limit: 10, Beyond: beyond, Sentence: string(rule),
	}
}

// through is a finding about a whole pass of 100 s.
func through(number, inPass int, rule finding.Rule, beyond float64) finding.Finding {
	f := at(number, inPass, rule, beyond, 0, 100)
	f.Place, f.FromStart, f.ToEnd = nil, true, true
	return f
}

// grouped are the numbers of the findings of each event, by the cause of it.
func grouped(findings ...finding.Finding) (groups [][]int, causes []Cause) {
	for _, e := range Group(findings) {
		groups, causes = append(groups, e.Findings), append(causes, e.Cause)
	}
	return groups, causes
}

// Every row of the table, by what an inspector would see: all that shows is one event.
func TestGroup_everyCause(t *testing.T) {
	for name, c := range map[string]struct {
		cause    Cause
		findings []finding.Finding
	}{
		"slip":             {Slip, []finding.Finding{at(1, 1, finding.Current, -1, 10, 4), at(2, 1, finding.WireSpeed, -1, 10.9, 4), at(3, 1, finding.Voltage, 1, 10, 4)}},
		"slip by law":      {Slip, []finding.Finding{at(1, 1, finding.WireSlip, 1, 10, 4), at(2, 1, finding.Current, -1, 9, 4), at(3, 1, finding.ShortRate, -1, 11, 4)}},
		"feed stops":       {Slip, []finding.Finding{at(1, 1, finding.WireSpeed, -1, 10, 4), at(2, 1, finding.ArcOut, 1, 13, 1), through(3, 1, finding.ArcOnRatio, -1)}},
		"gas":              {GasLost, []finding.Finding{at(1, 1, finding.GasFlow, -1, 10, 9), at(2, 1, finding.GasSignature, 1, 11, 7), at(3, 1, finding.Voltage, 1, 12, 2)}},
		"gas by signature": {GasLost, []finding.Finding{at(1, 1, finding.GasSignature, 1, 10, 9)}},
		"spray without":    {GasLost, []finding.Finding{at(1, 1, finding.ArcUnrest, 1, 10, 9), at(2, 1, finding.PulseRate, 1, 11, 7)}},
		"gas from start":   {GasLost, []finding.Finding{through(1, 1, finding.GasFlow, -1), at(2, 1, finding.GasSignature, 1, 50, 7)}},
		"setting":          {Setting, []finding.Finding{through(1, 1, finding.Voltage, -1), through(2, 1, finding.HeatInput, -1), at(3, 1, finding.ShortRate, 1, 30, 9)}},
		"two settings":     {Setting, []finding.Finding{through(1, 1, finding.Voltage, -1), through(2, 1, finding.WireSpeed, 1), through(3, 1, finding.Current, 1)}},
		"fast wire":        {FastWire, []finding.Finding{at(1, 1, finding.WireSpeed, 1, 10, 4), at(2, 1, finding.Current, 1, 10, 4), at(3, 1, finding.Voltage, -1, 10, 4)}},
		"much gas":         {MuchGas, []finding.Finding{through(1, 1, finding.GasFlow, 1)}},
		"lead off":         {LeadOff, []finding.Finding{at(1, 1, finding.CurrentOnly, 1, 10, 4), at(2, 1, finding.Voltage, -1, 10, 4), through(3, 1, finding.HeatInput, -1)}},
		"ground":           {WorkCircuit, []finding.Finding{at(1, 1, finding.VoltageOnly, 1, 10, 4), at(2, 1, finding.ArcOut, 1, 11, 4), through(3, 1, finding.BriefArcOuts, 1)}},
		"arc lost":         {ArcLost, []finding.Finding{at(1, 1, finding.ArcOut, 1, 10, 4), through(2, 1, finding.ArcOnRatio, -1), at(3, 1, finding.Voltage, 1, 14, 1)}},
		"stopped":          {Stopped, []finding.Finding{at(1, 1, finding.Interrupted, -1, 90, 0), through(2, 1, finding.ArcOnRatio, -1)}},
		"stubs":            {Stubs, []finding.Finding{at(1, 1, finding.Stubbing, 1, 10, 4), at(2, 1, finding.Current, 1, 10, 4), at(3, 1, finding.Voltage, -1, 10, 4)}},
		"program":          {Program, []finding.Finding{at(1, 1, finding.TransferMode, 1, 10, 4), at(2, 1, finding.Voltage, 1, 10, 4), at(3, 1, finding.Current, -1, 10, 4)}},
		"far from wall":    {Distance, []finding.Finding{at(1, 1, finding.Current, -1, 10, 4), at(2, 1, finding.Voltage, 1, 10, 4), at(3, 1, finding.VoltageRisen, 1, 10, 4)}},
		"near the wall":    {Distance, []finding.Finding{at(1, 1, finding.Current, 1, 10, 4), at(2, 1, finding.Voltage, -1, 10, 4)}},
		"current alone":    {Distance, []finding.Finding{at(1, 1, finding.Current, -1, 10, 4), at(2, 1, finding.ShortRate, -1, 10, 4)}},
		"voltage up":       {SetVoltage, []finding.Finding{at(1, 1, finding.Voltage, 1, 10, 4), at(2, 1, finding.Current, 1, 10, 4), at(3, 1, finding.GasSignature, 1, 10, 4)}},
		"voltage down":     {SetVoltage, []finding.Finding{at(1, 1, finding.Voltage, -1, 10, 4), at(2, 1, finding.Current, -1, 10, 4)}},
		"tip":              {TipWorn, []finding.Finding{through(1, 1, finding.CurrentFall, 1), through(2, 1, finding.ContactDrift, 1), at(3, 1, finding.Current, -1, 80, 9)}},
		"arc length":       {ArcLength, []finding.Finding{at(1, 1, finding.ShortRate, 1, 10, 4), at(2, 1, finding.VoltageRisen, 1, 10, 4)}},
		"rotation":         {Rotation, []finding.Finding{at(1, 1, finding.TravelSpeed, -1, 10, 4), through(2, 1, finding.HeatInput, 1)}},
		"rotation fast":    {Rotation, []finding.Finding{through(1, 1, finding.TravelSpeed, 1), through(2, 1, finding.HeatInput, -1)}},
		"gap elsewhere":    {GapElsewhere, []finding.Finding{at(1, 1, finding.ArcOut, 1, 10, 4), at(2, 1, finding.ArcInGap, 1, 15.5, 2), through(3, 1, finding.ArcOnRatio, -1)}},
		"restart":          {Restart, []finding.Finding{at(1, 1, finding.LeftOut, 1, 0, 0)}},
		"interpass":        {Interpass, []finding.Finding{through(1, 1, finding.Interpass, 1)}},
		"off centre":       {OffCentre, []finding.Finding{at(1, 1, finding.OffCentre, 1, 0, 90)}},
		"oval":             {OvalBore, []finding.Finding{at(1, 1, finding.OvalBore, 1, 0, 90)}},
		"no row":           {"arc-outs", []finding.Finding{through(1, 1, finding.ArcOnRatio, -1)}},
		"nobody knows it":  {Unknown, []finding.Finding{at(1, 1, "of another program", 1, 10, 1)}},
		"no row, in short": {"contact tip or liner", []finding.Finding{through(1, 1, finding.Instability, 1)}},
	} {
		t.Run(name, func(t *testing.T) {
			events := Group(c.findings)
			require.Len(t, events, 1)
			assert.Equal(t, c.cause, events[0].Cause)
			assert.Len(t, events[0].Findings, len(c.findings))
			assert.Equal(t, 1, events[0].Number)
			assert.Contains(t, events[0].Sentence, string(c.cause))
			assert.Equal(t, events[0].Place == nil, events[0].Whole, "what has no place concerns the whole pass")
		})
	}
}

// The event stands where its leading finding does, and says what showed with it.
func TestGroup_event(t *testing.T) {
	e := Group([]finding.Finding{at(1, 3, finding.Current, -1, 10, 4), at(2, 3, finding.WireSpeed, -1, 10.9, 4), at(3, 3, finding.Voltage, 1, 10, 4), at(4, 3, finding.Voltage, 1, 12, 1)})[0]
	assert.Equal(t, Event{
		Number: 1, Cause: Slip, Findings: []int{1, 2, 3, 4}, Lead: 2, Passes: []int{3}, Layer: 1, Place: &bore.Place{Angle: 81.75, Depth: 1e-3},
		Start: pass.Moment{Tick: 3010_900_000_000}, Sentence: "slip of the wire: wire_speed; with it: current low, voltage high (2 times)",
	}, e)
}

// The same cause at two angles of one pass is two events; so are two causes of one pass, and what
// begins more than two seconds before a cause, or after it is over, is none of it.
func TestGroup_apart(t *testing.T) {
	groups, _ := grouped(at(1, 1, finding.ArcOut, 1, 10, 2), at(2, 1, finding.ArcOut, 1, 30, 2), at(3, 2, finding.ArcOut, 1, 30, 2))
	assert.Equal(t, [][]int{{1}, {2}, {3}}, groups)
	groups, causes := grouped(at(1, 1, finding.WireSpeed, -1, 10, 4), at(2, 1, finding.GasFlow, -1, 30, 4), at(3, 1, finding.Current, -1, 10, 4), at(4, 1, finding.Voltage, 1, 30, 4))
	assert.Equal(t, [][]int{{1, 3}, {2, 4}}, groups)
	assert.Equal(t, []Cause{Slip, GasLost}, causes)
	for start, together := range map[float64]bool{7.9: false, 8: true, 16: true, 16.1: false} {
		groups, _ := grouped(at(1, 1, finding.WireSpeed, -1, 10, 4), at(2, 1, finding.Current, -1, start, 1))
		assert.Equal(t, together, len(groups) == 1, "%v", start)
	}
	other := at(2, 1, finding.Current, -1, 10, 4)
	other.Start.Epoch = 1
	groups, _ = grouped(at(1, 1, finding.WireSpeed, -1, 10, 4), other)
	assert.Len(t, groups, 2, "the same tick of another clock is another moment")
	groups, _ = grouped(at(1, 1, finding.WireSpeed, -1, 10, 4), at(2, 1, finding.Current, 1, 10, 4))
	assert.Len(t, groups, 2, "a wire that slips brings no more current")
}

// What is wrong from the first pass to the last is decided on once; a hole in it is a spot to look at.
func TestGroup_wholePasses(t *testing.T) {
	var findings []finding.Finding
	for p := range 40 {
		n := 3 * p
		findings = append(findings, through(n+1, p+1, finding.Voltage, -1), through(n+2, p+1, finding.HeatInput, -1), at(n+3, p+1, finding.ArcOut, 1, 50, 2))
	}
	events := Group(findings)
	assert.Equal(t, Setting, events[0].Cause)
	assert.Len(t, events[0].Findings, 80)
	assert.Len(t, events[0].Passes, 40)
	assert.Nil(t, events[0].Place)
	assert.True(t, events[0].Whole)
	assert.Contains(t, events[0].Sentence, "with it: heat input low (40 times); in passes 1 to 40")
	assert.Len(t, events, 1+places+1)
	last := events[len(events)-1]
	assert.True(t, last.Spread)
	assert.Len(t, last.Findings, 40-places)
	assert.Nil(t, last.Place)

	high := through(121, 41, finding.Voltage, 1)
	assert.Len(t, Group(append(findings, high)), len(events)+1, "the other side is another setting")
	again := through(121, 60, finding.Voltage, -1)
	assert.Len(t, Group(append(findings, again)), len(events), "put right and wrong again: one, by rule")
	groups, _ := grouped(through(1, 1, finding.StrokeCount, -1), through(2, 2, finding.StrokeCount, -1))
	assert.Len(t, groups, 2, "strokes that are missing are missing in two places")
}

// What goes on over the end of a pass is one event, where it began; not where it was over in between.
func TestGroup_goesOn(t *testing.T) {
	first, next := at(1, 1, finding.GasFlow, -1, 80, 20), at(2, 2, finding.GasFlow, -1, 0, 30)
	first.ToEnd, next.FromStart = true, true
	events := Group([]finding.Finding{first, next, through(3, 4, finding.GasFlow, -1)})
	require.Len(t, events, 2)
	assert.Equal(t, []int{1, 2}, events[0].Findings)
	assert.Equal(t, first.Place, events[0].Place)
	assert.Equal(t, []int{1, 2}, events[0].Passes)
	later := next
	later.Pass = 3
	assert.Len(t, Group([]finding.Finding{first, later}), 2, "a pass in between")
	late := next
	late.FromStart = false
	assert.Len(t, Group([]finding.Finding{first, late}), 2)
	over := first
	over.ToEnd = false
	assert.Len(t, Group([]finding.Finding{over, next}), 2)
	other := next
	other.Rule = finding.WireSpeed
	assert.Len(t, Group([]finding.Finding{first, other}), 2)
}

// A gas flow that a person typed in holds for all of the pass, though it took no time; a hole in a pass
// without gas is a spot to look at all the same.
func TestGroup_throughThePass(t *testing.T) {
	typed := through(1, 1, finding.GasFlow, -1)
	typed.Duration = 0
	groups, _ := grouped(typed, at(2, 1, finding.GasSignature, 1, 50, 7), at(3, 1, finding.ArcOut, 1, 60, 2))
	assert.Equal(t, [][]int{{1, 2}, {3}}, groups)
}

// A sum of the pass goes to the longest of its events; alone it is one of its own.
func TestGroup_sums(t *testing.T) {
	groups, _ := grouped(at(1, 1, finding.ArcOut, 1, 10, 2), at(2, 1, finding.ArcOut, 1, 30, 3), through(3, 1, finding.ArcOnRatio, -1))
	assert.Equal(t, [][]int{{1}, {2, 3}}, groups)
	groups, _ = grouped(at(1, 1, finding.Voltage, 1, 10, 2), through(2, 1, finding.HeatInput, -1))
	assert.Equal(t, [][]int{{1}, {2}}, groups, "a high voltage brings no low heat input")
	groups, _ = grouped(at(1, 1, finding.WireSpeed, -1, 1, 2), through(2, 1, finding.Voltage, 1))
	assert.Equal(t, [][]int{{1}, {2}}, groups, "a moment explains nothing that lasts")
}

// What a flaw of the wall disturbed belongs to it, from all passes; what had another cause does not.
// The number of what went into it is not given again.
func TestGroup_flawOfTheWall(t *testing.T) {
	out := func(number, inPass int) finding.Finding {
		f := at(number, inPass, finding.ArcOut, 1, 30, 2)
		f.PartOf = 7
		return f
	}
	slips := at(4, 2, finding.WireSpeed, -1, 60, 4)
	current := at(5, 2, finding.Current, -1, 60, 4)
	current.PartOf = 7
	flaw := at(7, 3, finding.WallPatch, 1, 30, 0)
	flaw.Parts = []int{1, 3, 5, 6}
	events := Group([]finding.Finding{out(1, 1), at(2, 1, finding.GasFlow, -1, 70, 4), out(3, 2), slips, current, out(6, 3), flaw, at(8, 3, finding.Stubbing, 1, 80, 2)})
	require.Len(t, events, 4)
	assert.Equal(t, []int{1, 3, 6, 7}, events[0].Findings)
	assert.Equal(t, FlawOfWall, events[0].Cause)
	assert.Equal(t, 7, events[0].Lead)
	assert.Equal(t, 1, events[0].Number)
	assert.Equal(t, []int{2}, events[1].Findings)
	assert.Equal(t, []int{4, 5}, events[2].Findings)
	assert.Equal(t, []int{1, 2, 4, 7}, []int{events[0].Number, events[1].Number, events[2].Number, events[3].Number})
}

// A torch off the centre is one event over layers as long as it stands off the same way.
func TestGroup_everyTurn(t *testing.T) {
	crest := func(number, inPass int, rule finding.Rule, angle quantity.Degrees) finding.Finding {
		f := at(number, inPass, rule, 1, 0, 90)
		f.Place.Angle = angle
		return f
	}
	groups, _ := grouped(crest(1, 1, finding.OffCentre, 10), crest(2, 2, finding.OffCentre, 345), crest(3, 3, finding.OffCentre, 41), crest(4, 4, finding.OffCentre, 190))
	assert.Equal(t, [][]int{{1, 2}, {3}, {4}}, groups)
	groups, _ = grouped(crest(1, 1, finding.OvalBore, 10), crest(2, 2, finding.OvalBore, 185), crest(3, 3, finding.OvalBore, 90))
	assert.Equal(t, [][]int{{1, 2}, {3}}, groups)
	groups, _ = grouped(crest(1, 1, finding.ArcInGap, 10), crest(2, 2, finding.ArcInGap, 12))
	assert.Equal(t, [][]int{{1, 2}}, groups)
}

func TestRanges(t *testing.T) {
	assert.Equal(t, "1, 3, 4, 6 to 8, 12", Ranges([]int{1, 3, 4, 6, 7, 8, 12}))
	assert.Empty(t, Ranges(nil))
}
