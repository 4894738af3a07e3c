package sheet

import (
	"fmt"
	"sort"
	"strconv"
	"strings"

	"arctally/acquire/quantity"
	"arctally/acquire/series"
	"arctally/analyze/bore"
	"arctally/analyze/procedure"
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

// FactGroups are what a reader wants to know of the job before its results.
func (s *Sheet) FactGroups(u Units) []FactGroup {
	j, set := &s.Job, u.Set()
	return []FactGroup{
		{"Bore", []Fact{
			{"Worn diameter", declared(j.Bore.WornDiameter, set.Bore)},
			{"Finish diameter", declared(j.Bore.FinishDiameter, set.Bore)},
			{"Weld to diameter", declared(j.Bore.WeldToDiameter, set.Bore)},
			{"Length", declared(j.Bore.Length, set.Depth)},
			{"Axis", OrDash(j.Bore.Axis)},
			{"Material", materialText(&j.Material, set)},
		}},
		{"Deposit", []Fact{
			{"Pattern", OrDash(string(j.Deposit.Pattern))},
			{"Pitch", declared(j.Deposit.Pitch, set.Bore)},
			{"Left unwelded", gapsText(j.Deposit.Gaps)},
			{"Rotation", declared(j.Rotation.Speed, Unit{"rpm", 2})},
			{"Wire", OrDash(strings.TrimSpace(j.Consumables.Wire + " " + ifDeclared(j.Deposit.WireDiameter, set.Bore)))},
			{"Wire batch", OrDash(j.Consumables.WireBatch)},
			{"Gas", OrDash(j.Consumables.Gas)},
			{"Gas batch", OrDash(j.Consumables.GasBatch)},
			{"Diffusible hydrogen", declared(j.Consumables.Hydrogen, Unit{"ml/100g", 1})},
		}},
		{"Customer, procedure, people", []Fact{
			{"Customer", OrDash(j.Customer.Name)},
			{"Order", OrDash(j.Customer.Order)},
			{"Machine", OrDash(j.Machine.Name)},
			{"Serial of the machine", OrDash(j.Machine.Serial)},
			{"Procedure", OrDash(j.Procedure.Name)},
			{"Process", OrDash(j.Procedure.Process)},
			{"Operator", OrDash(j.People.Operator)},
			{"Inspector", OrDash(j.People.Inspector)},
			{"Arc on, first to last", arcSpan(s.Passes)},
		}},
		{"Measured by", []Fact{
			{"Source", OrDash(strings.TrimSpace(s.Source.Name + " " + s.Source.Serial))},
			{"Firmware", OrDash(s.Source.Firmware)},
			{"Link", linkText(&s.Source)},
			{"Calibration, as it says", OrDash(s.Source.Calibration)},
		}},
	}
}

// declared prints a planned quantity; zero was not declared.
func declared[Q quantity.Quantity](q Q, unit Unit) string {
	return OrDash(ifDeclared(q, unit))
}

func ifDeclared[Q quantity.Quantity](q Q, unit Unit) string {
	if q == 0 {
		return ""
	}
	return Say(q, unit)
}

func materialText(m *procedure.Material, set *UnitSet) string {
	parts := []string{}
	for _, text := range []string{m.Grade, ifDeclared(m.Thickness, set.Depth)} {
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

func gapsText(gaps []bore.Gap) string {
	if len(gaps) == 0 {
		return "nothing"
	}
	parts := make([]string, len(gaps))
	for i, g := range gaps {
		parts[i] = fmt.Sprintf("%s to %s", quantity.Text(g.From, "deg", 0), quantity.Text(g.To, "deg", 0))
	}
	return strings.Join(parts, ", ")
}

// arcSpan is when the first pass began and the last one ended.
func arcSpan(passes []Pass) string {
	if len(passes) == 0 {
		return Dash
	}
	first, last := passes[0].Began, passes[len(passes)-1].Ended
	if !first.Dated || !last.Dated {
		return first.Clock() + " to " + last.Clock() + " on the clock of the source; its date is not known"
	}
	if first.Date() == last.Date() {
		return first.Date() + " " + first.Clock() + " to " + last.Clock() + " " + ZoneOf(last.Wall)
	}
	return first.Date() + " " + first.Clock() + " to " + last.Date() + " " + last.Clock() + " " + ZoneOf(last.Wall)
}

func linkText(source *series.Source) string {
	text := OrDash(source.Link)
	if source.Unprotected {
		text += ", without sequence number or checksum"
	}
	if source.Assumed {
		text += "; its scales are assumed, the source never described itself"
	}
	return text
}
