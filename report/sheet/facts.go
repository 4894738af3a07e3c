package sheet

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

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

func (s *Sheet) FactGroups() []FactGroup {
	j, set := &s.Job, s.Units.Set()
	return []FactGroup{
		{"Bore", []Fact{
			{"Worn diameter", declared(j.Bore.WornDiameter, set.Bore, set.BoreDigits)},
			{"Finish diameter", declared(j.Bore.FinishDiameter, set.Bore, set.BoreDigits)},
			{"Weld to diameter", declared(j.Bore.WeldToDiameter, set.Bore, set.BoreDigits)},
			{"Length", declared(j.Bore.Length, set.Bore, set.DepthDigits)},
			{"Axis", OrDash(j.Bore.Axis)},
			{"Material", s.material()},
		}},
		{"Deposit", []Fact{
			{"Pattern", OrDash(string(j.Deposit.Pattern))},
			{"Pitch", declared(j.Deposit.Pitch, set.Bore, set.BoreDigits)},
			{"Left unwelded", s.gapsText()},
			{"Rotation", declared(j.Rotation.Speed, "rpm", 2)},
			{"Wire", OrDash(strings.TrimSpace(j.Consumables.Wire + " " + ifDeclared(j.Deposit.WireDiameter, set.Bore, set.BoreDigits)))},
			{"Wire batch", OrDash(j.Consumables.WireBatch)},
			{"Gas", OrDash(j.Consumables.Gas)},
			{"Gas batch", OrDash(j.Consumables.GasBatch)},
			{"Diffusible hydrogen", declared(j.Consumables.Hydrogen, "ml/100g", 1)},
		}},
		{"Procedure and people", []Fact{
			{"Procedure", OrDash(j.Procedure.Name)},
			{"Process", OrDash(j.Procedure.Process)},
			{"Operator", OrDash(j.People.Operator)},
			{"Inspector", OrDash(j.People.Inspector)},
			{"Arc on, first to last", s.arcSpan()},
		}},
		{"Measured by", []Fact{
			{"Source", OrDash(strings.TrimSpace(s.source.Name + " " + s.source.Serial))},
			{"Firmware", OrDash(s.source.Firmware)},
			{"Link", s.linkText()},
			{"Calibration, as it says", OrDash(s.source.Calibration)},
		}},
	}
}

// declared prints a planned quantity; zero was not declared.
func declared[Q quantity.Quantity](q Q, unit string, decimals int) string {
	return OrDash(ifDeclared(q, unit, decimals))
}

func ifDeclared[Q quantity.Quantity](q Q, unit string, decimals int) string {
	if q == 0 {
		return ""
	}
	return quantity.Text(q, unit, decimals)
}

func (s *Sheet) material() string {
	m := s.Job.Material
	parts := []string{}
	for _, text := range []string{m.Grade, ifDeclared(m.Thickness, s.Units.Set().Bore, s.Units.Set().DepthDigits)} {
		if text != "" {
			parts = append(parts, text)
		}
	}
	elements := make([]string, 0, len(m.Analysis))
	for symbol, share := range m.Analysis {
		elements = append(elements, symbol+" "+strconv.FormatFloat(share, 'g', -1, 64)+" %")
	}
	sort.Strings(elements)
	return OrDash(strings.Join(append(parts, elements...), ", "))
}

func (s *Sheet) gapsText() string {
	if len(s.Job.Deposit.Gaps) == 0 {
		return "nothing"
	}
	parts := make([]string, len(s.Job.Deposit.Gaps))
	for i, g := range s.Job.Deposit.Gaps {
		parts[i] = fmt.Sprintf("%s to %s", quantity.Text(g.From, "deg", 0), quantity.Text(g.To, "deg", 0))
	}
	return strings.Join(parts, ", ")
}

// arcSpan is when the first pass began and the last one ended.
func (s *Sheet) arcSpan() string {
	if len(s.Passes) == 0 {
		return Dash
	}
	first, last := s.Passes[0].Began, s.Passes[len(s.Passes)-1].Ended
	if !first.Dated || !last.Dated {
		return first.Clock() + " to " + last.Clock() + " on the clock of the source; its date is not known"
	}
	if first.Date() == last.Date() {
		return first.Date() + " " + first.Clock() + " to " + last.Clock() + " UTC"
	}
	return first.Date() + " " + first.Clock() + " to " + last.Date() + " " + last.Clock() + " UTC"
}

func (s *Sheet) linkText() string {
	text := OrDash(s.source.Link)
	if s.source.Unprotected {
		text += ", without sequence number or checksum"
	}
	if s.source.Assumed {
		text += "; its scales are assumed, the source never described itself"
	}
	return text
}
