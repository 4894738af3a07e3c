package main

import (
	"math"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze"
	"arctally/analyze/bore"
	"arctally/analyze/finding"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
	"arctally/report/page"
	"arctally/report/sheet"
)

// The units of the pages.
const (
	wireUnit   = "m/min"
	travelUnit = "mm/min"
	turnUnit   = "rpm"
	heatUnit   = "kJ/mm"
	gasUnit    = "L/min"
	warmUnit   = "degC"
	lengthUnit = "mm"

	wireChannel = "wire_speed"
	gasChannel  = "gas_flow"
	warmChannel = "temperature"
)

// newest is how many findings a page shows as they come.
const newest = 3

// describe fills in what the job says and no sample changes.
func (m *monitor) describe() {
	s, job := &m.state, m.job
	s.Channels, s.Ring, s.Gaps = []page.LiveChannel{}, []page.LiveCell{}, []page.LiveGap{}
	s.Deviations, s.LastFindings = []page.LiveDeviation{}, []page.LiveFinding{}
	for _, g := range job.Deposit.Gaps {
		s.Gaps = append(s.Gaps, page.LiveGap{From: float64(g.From), To: float64(g.To)})
	}
	if job.Bore.WornDiameter == 0 {
		return
	}
	s.Bore = &page.LiveBore{
		Worn: declared(job.Bore.WornDiameter, lengthUnit), Finish: declared(job.Bore.FinishDiameter, lengthUnit),
		WeldTo: declared(job.Bore.WeldToDiameter, lengthUnit), Length: declared(job.Bore.Length, lengthUnit),
		StartAngle: float64(job.Rotation.StartAngle),
	}
}

// declared is what a job declares, nil where it does not.
func declared[Q quantity.Quantity](q Q, unit string) *float64 {
	if q == 0 {
		return nil
	}
	return new(quantity.In(q, unit))
}

// known is a quantity in a unit, nil where it is not known.
func known[Q quantity.Quantity](q *Q, unit string) *float64 {
	if q == nil {
		return nil
	}
	return finite(quantity.In(*q, unit))
}

// finite lets only numbers through: what is none is not known, and must not end a
// recording by being sent.
func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// plain is a number, nil where it is not known.
func plain(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return finite(*v)
}

// word is a word of the analysis, nil where it has none.
func word[W ~string](w W) *string {
	if w == "" {
		return nil
	}
	return new(string(w))
}

// counted is a number from 1 on, nil where it is not known.
func counted(n int) *int {
	if n == 0 {
		return nil
	}
	return &n
}

// look brings the state up to date.
func (m *monitor) look() {
	s := &m.state
	s.At, s.Link, s.Elapsed = sheet.Timestamp(m.now()), m.hearing.link(), m.elapsed.seconds()
	if m.live == nil || !m.elapsed.any {
		return
	}
	standing, ring := m.live.standing(&m.results)
	if writer := m.live.recordWriter(); writer != nil {
		s.DurableSamples = writer.Acknowledged()
	}
	if standing.Moment.Epoch != m.elapsed.epoch {
		return // it still speaks of what was recorded before
	}
	s.Epoch, s.TickNS = standing.Moment.Epoch, standing.Newest
	s.ArcOn, s.InGap = standing.ArcOn, standing.InGap != nil && *standing.InGap
	s.Steady = known(standing.Since, "s")
	s.Counts = page.LiveCounts{Passes: standing.Passes, Findings: standing.Findings, Warnings: standing.Warnings}
	s.LastFindings, s.ArcTime = m.results.findings, float64(m.results.arcTime)
	if standing.Pass != nil {
		s.ArcTime += float64(standing.Pass.ArcTime)
	}
	s.Channels = m.channels(&standing)
	s.Pass, s.Place, s.Next = m.pass(&standing), m.place(&standing), next(&standing)
	s.Deviations = deviations(standing.Deviations)
	m.turn(s.Place)
	s.Ring = m.ring(ring)
	if s.Bore != nil {
		s.Bore = new(*s.Bore) // the former one is being sent
		s.Bore.Layers = standing.PlannedLayers
	}
}

// results are what a whole result is needed for; they are made anew when there is more.
type results struct {
	passes, found int
	arcTime       quantity.Seconds
	findings      []page.LiveFinding
}

func (r *results) take(result analyze.Result) {
	r.passes, r.found, r.arcTime, r.findings = len(result.Passes), len(result.Findings), 0, []page.LiveFinding{}
	for k := range result.Passes {
		r.arcTime += result.Passes[k].ArcTime
	}
	last := result.Findings[max(0, len(result.Findings)-newest):]
	for _, f := range slices.Backward(last) {
		told := page.LiveFinding{Rule: string(f.Rule), Pass: f.Pass, Sentence: f.Sentence}
		if f.Place != nil {
			told.Angle, told.Depth = finite(float64(f.Place.Angle)), known(&f.Place.Depth, lengthUnit)
		}
		r.findings = append(r.findings, told)
	}
}

// standing asks the analysis how the arc stands.
func (l *live) standing(whole *results) (analyze.Standing, analyze.Ring) {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := l.run.Standing()
	if whole.findings == nil || s.Passes != whole.passes || s.Findings != whole.found {
		whole.take(l.run.Result())
	}
	return s, l.run.Ring()
}

// channels are those that the source has, or that follow from something.
func (m *monitor) channels(s *analyze.Standing) []page.LiveChannel {
	measured, travel := heat.TravelMeasured, s.TravelBasis
	list := []page.LiveChannel{
		channelOf("voltage", "V", &s.Voltage, measured), channelOf("current", "A", &s.Current, measured),
	}
	if m.has(wireChannel) || s.WireSpeed.Value != nil {
		list = append(list, channelOf(wireChannel, wireUnit, &s.WireSpeed, measured))
	}
	if s.Travel.Value != nil || travel != "" {
		list = append(list, channelOf("travel_speed", travelUnit, &s.Travel, travel))
	}
	if s.Rotation.Value != nil || m.source().CountsPerTurn > 0 {
		list = append(list, channelOf("rotation", turnUnit, &s.Rotation, travel))
	}
	if m.has(gasChannel) || s.GasFlow.Value != nil {
		list = append(list, channelOf(gasChannel, gasUnit, &s.GasFlow, measured))
	}
	if m.has(warmChannel) || s.Temperature.Value != nil {
		list = append(list, channelOf(warmChannel, warmUnit, &s.Temperature, measured))
	}
	return list
}

// has tells whether the source has a channel.
func (m *monitor) has(name string) bool {
	for _, c := range m.source().Channels {
		if c.Name == name {
			return true
		}
	}
	return false
}

func channelOf[Q quantity.Quantity](name, unit string, g *analyze.Gauge[Q], basis heat.TravelBasis) page.LiveChannel {
	c := page.LiveChannel{Name: name, Unit: unit, Value: known(g.Value, unit), State: stateOf(g.State)}
	c.Low, c.High = limits(g.Window, unit)
	if g.Value != nil {
		c.Basis = word(basis)
	}
	return c
}

func limits[Q quantity.Quantity](r quantity.Range[Q], unit string) (low, high *float64) {
	if r.HasLow {
		low = known(&r.Low, unit)
	}
	if r.HasHigh {
		high = known(&r.High, unit)
	}
	return low, high
}

func stateOf(s analyze.WindowState) page.State {
	switch s {
	case analyze.Inside:
		return page.Within
	case analyze.NearEdge:
		return page.Near
	case analyze.Outside:
		return page.Outside
	default:
		return page.NotJudged
	}
}

// judgedWords name what the limits are about.
func (m *monitor) judgedWords() string {
	if m.job.Procedure.Judge.Definition == procedure.ArcEnergy {
		return "arc energy"
	}
	return "heat input"
}

// judgedOf chooses what the limits are about.
func (m *monitor) judgedOf(arcEnergy, heatInput *quantity.JoulesPerMetre) *quantity.JoulesPerMetre {
	if m.job.Procedure.Judge.Definition == procedure.ArcEnergy {
		return arcEnergy
	}
	return heatInput
}

func (m *monitor) pass(s *analyze.Standing) *page.LivePass {
	p := s.Pass
	if p == nil {
		return nil
	}
	told := &page.LivePass{
		Number: p.Number, Layer: counted(p.Layer), Pattern: word(p.Pattern), Elapsed: known(&p.SinceStart, "s"),
		ArcTime: known(&p.ArcTime, "s"), ArcOnRatio: finite(float64(p.ArcOnRatio)), Turns: plain(p.Turns), PlannedTurns: plain(p.PlannedTurns),
		Energy: known(&p.Energy, "J"), Judged: m.judgedWords(), Unit: heatUnit,
		Value: known(m.judgedOf(p.ArcEnergy, p.HeatInput), heatUnit), Expanded: known(p.ExpandedUncertainty, heatUnit),
		Verdict: word(p.Verdict), PowerBasis: word(p.PowerBasis.String()), TravelBasis: word(p.TravelBasis),
	}
	if p.PlannedArcOn > 0 {
		told.PlannedArcOn = finite(float64(p.PlannedArcOn))
	}
	told.Low, told.High = limits(m.job.Procedure.Limits.HeatInput, heatUnit)
	if f := s.Forecast; f != nil {
		told.Forecast = &page.LiveForecast{Value: known(&f.Value, heatUnit), Remaining: known(&f.Remaining, "s"), State: stateOf(f.State)}
	}
	return told
}

func (m *monitor) place(s *analyze.Standing) *page.LivePlace {
	if s.Where == nil {
		return nil
	}
	w := s.Where
	told := &page.LivePlace{
		Turn: counted(w.Turn), Layer: counted(w.Layer), Layers: s.PlannedLayers,
		Angle: finite(float64(w.Angle)), Depth: known(&w.Depth, lengthUnit),
	}
	if s.PlannedLayers != nil && w.Layer > *s.PlannedLayers {
		told.Layers = nil // the plan had no such layer
	}
	if w.LayerDone != nil {
		told.LayerDone = finite(float64(*w.LayerDone))
	}
	return told
}

func next(s *analyze.Standing) *page.LiveNext {
	if s.NextLayer == nil {
		return nil
	}
	n := s.NextLayer
	told := &page.LiveNext{Layer: n.Layer, Diameter: declared(n.Diameter, lengthUnit), RPM: declared(n.Rotation, turnUnit)}
	told.LowRPM, told.HighRPM = limits(n.Window, turnUnit)
	if s.Layer != nil {
		told.PresentRPM = declared(s.Layer.Rotation, turnUnit)
	}
	return told
}

func deviations(open []finding.Open) []page.LiveDeviation {
	told := []page.LiveDeviation{}
	for _, d := range open {
		if d.Paused && !d.Certain {
			continue // the arc is out: nothing of it can be seen now
		}
		value, unit, text := sheet.Measured(d.Rule, d.Value)
		limit, _, limitText := sheet.Measured(d.Rule, d.Limit)
		words := d.Going()
		if words == "" {
			words = strings.ReplaceAll(string(d.Rule), "_", " ") + " " + text + " " + unit + ", limit " + limitText + " " + unit
		}
		told = append(told, page.LiveDeviation{
			Rule: string(d.Rule), Lasted: float64(d.Lasted), Value: value, Limit: limit, Unit: unit, Finding: d.Certain, Words: words,
		})
	}
	return told
}

// ring is the turn that is being laid; only what the torch has been over has values.
func (m *monitor) ring(r analyze.Ring) []page.LiveCell {
	cells := []page.LiveCell{}
	for _, c := range r.Cells {
		cell := page.LiveCell{From: float64(c.From), To: float64(c.To), Value: known(m.judgedOf(c.ArcEnergy, c.HeatInput), heatUnit)}
		cell.State = stateOf(analyze.StateIn(m.judgedOf(c.ArcEnergy, c.HeatInput), m.job.Procedure.Limits.HeatInput))
		if c.ArcTime > 0 {
			cell.Arc = finite(float64(c.Burned))
		}
		cell.Finding = slices.ContainsFunc(r.Arcs, func(a analyze.RingArc) bool { return a.Finding > 0 && m.covers(a, (c.From+c.To)/2) })
		cells = append(cells, cell)
	}
	return cells
}

// turn sees by the angle which way the torch goes.
func (m *monitor) turn(now *page.LivePlace) {
	if now == nil || now.Angle == nil {
		return
	}
	if ahead := bore.NormalAngle(quantity.Degrees(*now.Angle) - m.angle); ahead > 0 {
		m.backwards = ahead > 180
	}
	m.angle = quantity.Degrees(*now.Angle)
}

// covers tells whether an arc, in the direction of the torch, goes over an angle.
func (m *monitor) covers(a analyze.RingArc, angle quantity.Degrees) bool {
	from, to := a.From, a.To
	if m.backwards {
		from, to = to, from
	}
	return bore.NormalAngle(angle-from) <= bore.NormalAngle(to-from)
}
