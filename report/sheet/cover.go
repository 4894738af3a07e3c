package sheet

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/quantity"
)

// FactGroup is a headed list of facts on the cover.
type FactGroup struct {
	Title string `json:"title"`
	Facts []Fact `json:"facts"`
}

// Fact is a value with its name; a dash is not known.
type Fact struct {
	Label string `json:"label"`
	Value string `json:"value"`
}

func (s *Sheet) cover() []FactGroup {
	j, set := &s.job, s.units.set()
	return []FactGroup{
		{"Bore", []Fact{
			{"Worn diameter", declared(j.Bore.WornDiameter, set.bore, set.boreDigits)},
			{"Finish diameter", declared(j.Bore.FinishDiameter, set.bore, set.boreDigits)},
			{"Weld to diameter", declared(j.Bore.WeldToDiameter, set.bore, set.boreDigits)},
			{"Length", declared(j.Bore.Length, set.bore, set.depth)},
			{"Axis", orDash(j.Bore.Axis)},
			{"Material", s.material()},
		}},
		{"Deposit", []Fact{
			{"Pattern", orDash(string(j.Deposit.Pattern))},
			{"Pitch", declared(j.Deposit.Pitch, set.bore, set.boreDigits)},
			{"Left unwelded", s.gapsText()},
			{"Rotation", declared(j.Rotation.Speed, "rpm", 2)},
			{"Wire", orDash(strings.TrimSpace(j.Consumables.Wire + " " + ifDeclared(j.Deposit.WireDiameter, set.bore, set.boreDigits)))},
			{"Wire batch", orDash(j.Consumables.WireBatch)},
			{"Gas", orDash(j.Consumables.Gas)},
			{"Gas batch", orDash(j.Consumables.GasBatch)},
			{"Diffusible hydrogen", declared(j.Consumables.Hydrogen, "ml/100g", 1)},
		}},
		{"Procedure and people", []Fact{
			{"Procedure", orDash(j.Procedure.Name)},
			{"Process", orDash(j.Procedure.Process)},
			{"Operator", orDash(j.People.Operator)},
			{"Inspector", orDash(j.People.Inspector)},
			{"Arc on, first to last", s.arcSpan()},
		}},
		{"Measured by", []Fact{
			{"Source", orDash(strings.TrimSpace(s.source.Name + " " + s.source.Serial))},
			{"Firmware", orDash(s.source.Firmware)},
			{"Link", s.linkText()},
			{"Calibration, as it says", orDash(s.source.Calibration)},
		}},
	}
}

// declared prints a planned quantity; zero was not declared.
func declared[Q quantity.Quantity](q Q, unit string, decimals int) string {
	return orDash(ifDeclared(q, unit, decimals))
}

func ifDeclared[Q quantity.Quantity](q Q, unit string, decimals int) string {
	if q == 0 {
		return ""
	}
	return quantity.Text(q, unit, decimals)
}

func (s *Sheet) material() string {
	m := s.job.Material
	parts := []string{}
	for _, text := range []string{m.Grade, ifDeclared(m.Thickness, s.units.set().bore, s.units.set().depth)} {
		if text != "" {
			parts = append(parts, text)
		}
	}
	elements := make([]string, 0, len(m.Analysis))
	for symbol, share := range m.Analysis {
		elements = append(elements, symbol+" "+strconv.FormatFloat(share, 'g', -1, 64)+" %")
	}
	sort.Strings(elements)
	return orDash(strings.Join(append(parts, elements...), ", "))
}

func (s *Sheet) gapsText() string {
	if len(s.job.Deposit.Gaps) == 0 {
		return "nothing"
	}
	parts := make([]string, len(s.job.Deposit.Gaps))
	for i, g := range s.job.Deposit.Gaps {
		parts[i] = fmt.Sprintf("%s to %s", quantity.Text(g.From, "deg", 0), quantity.Text(g.To, "deg", 0))
	}
	return strings.Join(parts, ", ")
}

// arcSpan is when the first pass began and the last one ended.
func (s *Sheet) arcSpan() string {
	if len(s.passes) == 0 {
		return dash
	}
	first, last := s.passes[0].start, s.passes[len(s.passes)-1].end
	if !first.dated || !last.dated {
		return first.clock() + " to " + last.clock() + " on the clock of the source; its date is not known"
	}
	if first.date() == last.date() {
		return first.date() + " " + first.clock() + " to " + last.clock() + " UTC"
	}
	return first.date() + " " + first.clock() + " to " + last.date() + " " + last.clock() + " UTC"
}

func (s *Sheet) linkText() string {
	text := orDash(s.source.Link)
	if s.source.Unprotected {
		text += ", without sequence number or checksum"
	}
	if s.source.Assumed {
		text += "; its scales are assumed, the source never described itself"
	}
	return text
}

// instrumentLine is one channel with its calibration, or without one.
type instrumentLine struct {
	Channel, Correction, Uncertainty, Date, Due, Certificate, Status string
	Missing                                                          bool
}

// needed are the channels that the heat input and the deposit rest on.
var needed = []string{"voltage", "current", "wire_speed", "travel"}

func (s *Sheet) instrumentLines() []instrumentLine {
	lines := []instrumentLine{}
	for _, channel := range needed {
		if c := s.instrument(channel); c != nil {
			lines = append(lines, s.instrumentLine(*c))
			continue
		}
		lines = append(lines, instrumentLine{
			Channel: spaced(channel), Correction: dash, Uncertainty: dash, Date: dash, Due: dash, Certificate: dash,
			Status: "none on record", Missing: true,
		})
	}
	for _, c := range s.instruments {
		if !slices.Contains(needed, c.Channel) {
			lines = append(lines, s.instrumentLine(c))
		}
	}
	return lines
}

func (s *Sheet) instrument(channel string) *calib.Calibration {
	for i := range s.instruments {
		if s.instruments[i].Channel == channel {
			return &s.instruments[i]
		}
	}
	return nil
}

func (s *Sheet) instrumentLine(c calib.Calibration) instrumentLine {
	line := instrumentLine{
		Channel:     spaced(c.Channel),
		Correction:  "x " + strconv.FormatFloat(c.Gain, 'g', 7, 64) + ", " + fmt.Sprintf("%+.4g", c.Offset),
		Uncertainty: "a default stands in", Date: orDash(c.Date), Due: orDash(c.Due), Certificate: orDash(c.Certificate),
		Status: s.dueStatus(c.Due),
	}
	if c.Relative > 0 {
		line.Uncertainty = strconv.FormatFloat(c.Relative*100, 'g', 3, 64) + " %"
	}
	line.Missing = line.Status != inDate
	return line
}

const inDate = "in date at the first arc"

// dueStatus holds the due date against the first arc of the job.
func (s *Sheet) dueStatus(due string) string {
	if strings.TrimSpace(due) == "" {
		return "no due date on record"
	}
	day, err := time.Parse(time.DateOnly, strings.TrimSpace(due))
	if err != nil || len(s.passes) == 0 || !s.passes[0].start.dated {
		return "due date could not be held against the job"
	}
	if s.passes[0].start.wall.Before(day.AddDate(0, 0, 1)) {
		return inDate
	}
	return "overdue at the first arc"
}

// spaced is a name of a channel or a rule as people write it.
func spaced(name string) string { return strings.ReplaceAll(name, "_", " ") }
