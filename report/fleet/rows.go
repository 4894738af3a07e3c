package fleet

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"strings"
	"time"

	"arctally/acquire/calib"
	"arctally/report/sheet"
)

// id stands for what it is made of: the first 63 bits of its SHA-256.
func id(of ...any) int64 {
	text, err := json.Marshal(of)
	if err != nil {
		panic("fleet: " + err.Error())
	}
	sum := sha256.Sum256(text)
	return int64(binary.BigEndian.Uint64(sum[:8]) >> 1)
}

// rows are lines of one table, ready to be written.
type rows struct {
	table   string
	columns string
	values  [][]any
}

func (r *rows) add(values ...any) { r.values = append(r.values, values) }

// taken is one record's results on their way in.
type taken struct {
	*Results
	id, procedure int64
	at            *int64 // Unix time in us; nil is not known
	proofs        map[int]*Proof
}

func newTaken(r *Results) *taken {
	t := &taken{Results: r, id: id("job", r.State.Head), procedure: id("procedure", r.Procedure, r.Definition, r.Window), proofs: map[int]*Proof{}}
	for k := range r.Proof {
		t.proofs[r.Proof[k].Pass] = &r.Proof[k]
	}
	for _, text := range []*string{r.started(), &r.State.Created} {
		if m := moment(text); t.at == nil && m != nil {
			at, _ := time.Parse(time.RFC3339Nano, *m)
			t.at = new(at.UnixMicro())
		}
	}
	return t
}

// started is when the first pass with a date began, nil where none has one.
func (r *Results) started() *string {
	for k := range r.Passes {
		if r.Passes[k].Start != nil {
			return r.Passes[k].Start
		}
	}
	return nil
}

func (r *Results) ended() (last *string) {
	for k := range r.Passes {
		if r.Passes[k].End != nil {
			last = r.Passes[k].End
		}
	}
	return last
}

// text is a text that may be missing, fit for every engine: none of them takes a NUL.
func text(s string) *string {
	if s == "" {
		return nil
	}
	return new(strings.ReplaceAll(s, "\x00", `\u0000`))
}

func textOf(s *string) *string {
	if s == nil {
		return nil
	}
	return text(*s)
}

// moment is a moment as the columns have it, nil where it is missing.
func moment(s *string) *string {
	if s == nil || *s == "" {
		return nil
	}
	at, err := time.Parse(time.RFC3339Nano, *s)
	if err != nil {
		return nil
	}
	return new(sheet.Timestamp(at))
}

func times(v *float64, factor float64) *float64 {
	if v == nil {
		return nil
	}
	return sheet.Known(*v * factor)
}

// What one unit of the JSON is in that of the column.
const (
	kiloJoulesPerMM = 1e6        // J/m
	millimetres     = 1e-3       // m
	grams           = 1e-3       // kg
	mmPerMinute     = 1e-3 / 60. // m/s
)

func positive(n int) *int {
	if n < 1 {
		return nil
	}
	return &n
}

func unlessZero(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

func (t *taken) procedureRows() *rows {
	r := &rows{table: "procedures", columns: "id, name, definition, window_low_j_per_m, window_high_j_per_m"}
	r.add(t.procedure, text(t.Procedure), text(t.Definition), times(t.Window.Low, kiloJoulesPerMM), times(t.Window.High, kiloJoulesPerMM))
	return r
}

func (t *taken) jobRows(now string, outcome Outcome, replaces *int64) *rows {
	open := 0
	for k := range t.Causes {
		if t.Causes[k].Open > 0 {
			open++
		}
	}
	r := &rows{table: "jobs", columns: "id, digest, begins, groups, current, replaces, outcome, record, job, procedure, operator, inspector, box, decision_rule, simulated, created, started, ended, taken_in, passes, proved_passes, open_events"}
	r.add(t.id, t.State.Head, t.begins(), t.State.Groups, outcome.stands(), replaces, string(outcome), text(t.Record), text(t.Job), t.procedure, text(t.People.Operator), text(t.People.Inspector),
		text(t.ArcBox), text(t.Rule), t.Simulated, moment(&t.State.Created), moment(t.started()), moment(t.ended()), now, len(t.Passes), t.provedPasses(), open)
	return r
}

// provedPasses is nil where the results do not say it of all passes.
func (t *taken) provedPasses() *int {
	n := 0
	for k := range t.Passes {
		p := t.proofs[t.Passes[k].Number]
		if p == nil {
			return nil
		}
		if p.Proved {
			n++
		}
	}
	return &n
}

func (t *taken) passRows() *rows {
	r := &rows{table: "passes", columns: "job, number, layer, pattern, started, ended, elapsed_s, arc_time_s, arc_on_ratio, planned_arc_on_ratio, voltage_mean_v, current_mean_a, power_mean_w, power_basis, energy_j, wire_m, deposit_kg, turns, travel_m, travel_speed_m_per_s, travel_basis, arc_energy_j_per_m, heat_input_j_per_m, judged_expanded_uncertainty_j_per_m, verdict, gap_s, findings, proved, barred_by"}
	for k := range t.Passes {
		p := &t.Passes[k]
		var proved *bool
		var barred *string
		if proof := t.proofs[p.Number]; proof != nil {
			proved, barred = &proof.Proved, text(strings.Join(proof.Barred, " "))
		}
		r.add(t.id, p.Number, p.Layer, textOf(p.Pattern), moment(p.Start), moment(p.End), p.Elapsed, p.ArcTime, p.ArcOnRatio, p.PlannedArcOn,
			p.VoltageMean, p.CurrentMean, p.PowerMean, textOf(p.PowerBasis), p.Energy, p.Wire, times(p.Deposit, grams), p.Turns, times(p.Travel, millimetres),
			times(p.TravelSpeed, mmPerMinute), textOf(p.TravelBasis), times(p.ArcEnergy, kiloJoulesPerMM), times(p.HeatInput, kiloJoulesPerMM),
			times(p.ExpandedUncertainty, kiloJoulesPerMM), textOf(p.Verdict), p.GapTime, p.Findings, proved, barred)
	}
	return r
}

func (t *taken) findingRows() *rows {
	r := &rows{table: "findings", columns: "job, number, event, rule, pass, layer, angle_deg, angle_expanded_uncertainty_deg, depth_m, started, duration_s, worst, limit_passed, beyond, unit, sentence, state"}
	for k := range t.Findings {
		f := &t.Findings[k]
		r.add(t.id, f.Number, positive(f.Event), plain(f.Rule), positive(f.Pass), f.Layer, f.Angle, f.AngleUncertainty, times(f.Depth, millimetres), moment(f.Start),
			f.Duration, f.Worst, f.Limit, f.Beyond, text(f.Unit), text(f.Sentence), plain(f.State))
	}
	return r
}

// plain is text that stands there even where it is empty.
func plain(s string) string { return strings.ReplaceAll(s, "\x00", `\u0000`) }

func (t *taken) eventRows(now string, current bool) *rows {
	r := &rows{table: "events", columns: "job, number, cause, lead, pass, layer, angle_deg, angle_expanded_uncertainty_deg, depth_m, started, sentence, state, open_findings, waits_since"}
	for k := range t.Causes {
		c := &t.Causes[k]
		var first *int
		if len(c.Passes) > 0 {
			first = positive(c.Passes[0])
		}
		var since *string
		for _, at := range []*string{c.Start, t.started(), &t.State.Created, &now} {
			if since == nil && current && c.Open > 0 {
				since = moment(at)
			}
		}
		r.add(t.id, c.Number, plain(c.Cause), positive(c.Lead), first, c.Layer, c.Angle, c.AngleUncertainty, times(c.Depth, millimetres), moment(c.Start),
			text(c.Sentence), plain(c.State), c.Open, since)
	}
	return r
}

func (t *taken) dispositionRows() *rows {
	r := &rows{table: "dispositions", columns: "job, finding, entry, stands, put_down, decided_by, signed_by, method, result, decision, remark"}
	for k := range t.Findings {
		f := &t.Findings[k]
		if f.Disposition == nil {
			continue
		}
		seen := map[int]bool{}
		for n, d := range append([]sheet.DispositionRow{*f.Disposition}, f.Disposition.History...) {
			if seen[d.Entry] {
				continue
			}
			seen[d.Entry] = true
			r.add(t.id, f.Number, d.Entry, n == 0 && d.CorrectedBy == 0, moment(&d.At), text(d.By), text(d.SignedBy), text(d.Method), text(d.Result), text(d.Decision), textOf(d.Remark))
		}
	}
	return r
}

func (t *taken) checkRows() *rows {
	r := &rows{table: "checks", columns: "job, number, subject, channel, box, done, done_by, instrument, certificate, due, taken_over_from, sentence"}
	for k, c := range t.Checks {
		if c == nil {
			continue
		}
		var from *string
		if c.TakenOver != nil {
			from = text(c.TakenOver.Record)
		}
		r.add(t.id, k+1, plain(string(c.Subject)), text(c.Channel), text(c.Box), doneAt(c.Done), text(c.By), text(c.Instrument), text(c.Certificate), text(c.Due), from, text(c.Sentence))
	}
	return r
}

// doneAt is nil of a time that is not known.
func doneAt(at time.Time) *string {
	if at.IsZero() {
		return nil
	}
	return new(sheet.Timestamp(at))
}

func (t *taken) calibrationRows() *rows {
	r := &rows{table: "calibrations", columns: "job, number, channel, box, gain, offset_in_unit_of_channel, relative_standard_uncertainty, degrees_of_freedom, done, due, certificate"}
	for k := range t.Calibrations {
		c := &t.Calibrations[k]
		r.add(t.id, k+1, plain(c.Channel), text(c.Box), c.Gain, c.Offset, unlessZero(c.Relative), unlessZero(c.Freedom), text(c.Date), text(c.Due), text(c.Certificate))
	}
	return r
}

func (t *taken) boxRows() *rows {
	r := &rows{table: "boxes", columns: "job, number, box, name, firmware, link, unprotected"}
	for k := range t.Sources {
		s := &t.Sources[k]
		r.add(t.id, k+1, text(s.Serial), text(s.Name), text(s.Firmware), text(s.Link), s.Unprotected)
	}
	return r
}

// newestRows are the calibrations of a record as those of their holders.
func (t *taken) newestRows() *rows {
	r := &rows{table: "newest_calibrations", columns: "holder, channel, box, done, due, certificate, job"}
	seen := map[[2]string]int{}
	for k := range t.Calibrations {
		c := &t.Calibrations[k]
		row := []any{t.holder(c), plain(c.Channel), text(c.Box), t.doneDay(c), day(c.Due), text(c.Certificate), t.id}
		key := [2]string{row[0].(string), row[1].(string)}
		if at, twice := seen[key]; twice {
			if row[3].(string) >= r.values[at][3].(string) {
				r.values[at] = row
			}
			continue
		}
		seen[key] = len(r.values)
		r.values = append(r.values, row)
	}
	return r
}

// holder is what a calibration belongs to. Those of which nobody said the box are not
// mistaken for one another.
func (t *taken) holder(c *calib.Calibration) string {
	switch {
	case c.Box != "":
		return plain("box " + c.Box)
	case c.Certificate != "":
		return plain("certificate " + c.Certificate)
	default:
		return "record " + t.begins()
	}
}

// doneDay orders the calibrations of one holder: the day as written where it is one, else
// that of the job.
func (t *taken) doneDay(c *calib.Calibration) string {
	if d := day(c.Date); d != nil {
		return *d
	}
	for _, at := range []*string{t.started(), &t.State.Created} {
		if m := moment(at); m != nil {
			return (*m)[:len(time.DateOnly)]
		}
	}
	return ""
}

// day is nil of what is no day of the calendar.
func day(s string) *string {
	if len(s) > len(time.DateOnly) {
		if at, err := time.Parse(time.RFC3339Nano, s); err == nil {
			return new(at.UTC().Format(time.DateOnly))
		}
	}
	if _, err := time.Parse(time.DateOnly, s); err != nil {
		return nil
	}
	return &s
}
