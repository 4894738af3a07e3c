package workshop

import (
	"slices"

	"arctally/acquire/calib"
	"arctally/cmd/internal/check"
	"arctally/report/page"
	"arctally/report/page/form"
)

// checkFields are the keys of all checks, as a page shows them.
var checkFields = map[string]form.Field{
	"channel":    {Label: "Channel", Kind: form.Choice, Help: "what the sensor measures"},
	"reading":    {Label: "Readings", Kind: form.List, Help: "as the sensor gives them, uncorrected"},
	"every":      {Label: "Time between readings", Kind: form.Quantity, Units: []string{"s", "min"}, Help: "tells drift from scatter"},
	"reference":  {Label: "Reference values", Kind: form.List, Help: "what the reference meter shows at each point; three points or more, better four"},
	"instrument": {Label: "Instrument", Kind: form.Text, Help: "the reference instrument and its number"},
	"reference-uncertainty": {
		Label: "Uncertainty of the reference", Kind: form.Quantity, Units: []string{"V", "A", "m/min", "L/min", "degC", "%"},
		Help: "standard uncertainty (k = 1), from its certificate; half of an expanded one with k = 2",
	},
	"resolution": {
		Label: "One digit", Kind: form.Quantity, Units: []string{"V", "A", "m/min", "L/min", "degC"},
		Help: "of the readings or of the reference, whichever is coarser: 0.1 V where the last digit is a tenth of a volt",
	},
	"length":          {Label: "Length of wire", Kind: form.List, Units: []string{"m", "mm"}, US: "in", Help: "measured, a row for each run"},
	"time":            {Label: "Time", Kind: form.List, Units: []string{"s", "min"}, Help: "of each run"},
	"length-limits":   {Label: "Limits of the length", Kind: form.Quantity, Units: []string{"mm"}, US: "in", Help: "plus or minus, how well a length is read"},
	"time-limits":     {Label: "Limits of the time", Kind: form.Quantity, Units: []string{"s"}, Help: "plus or minus, how well a time is taken by hand"},
	"wanted":          {Label: "Wanted uncertainty", Kind: form.Quantity, Units: []string{"%"}, Help: "it says how long to run for it"},
	"turns":           {Label: "Turns", Kind: form.List, Help: "whole turns of the torch, a row for each run"},
	"counted":         {Label: "Turns that the box counted", Kind: form.List, Help: "of each run"},
	"turn-limits":     {Label: "Limits of the angle", Kind: form.Quantity, Units: []string{"deg"}, Help: "plus or minus, how well the mark is met"},
	"angle":           {Label: "Angles", Kind: form.List, Units: []string{"deg"}, Help: "from the reference mark, clockwise seen from the torch side"},
	"distance":        {Label: "Distances", Kind: form.List, Units: []string{"mm"}, US: "in", Help: "from torch to wall at each angle"},
	"distance-limits": {Label: "Limits of the distance", Kind: form.Quantity, Units: []string{"mm"}, US: "in", Help: "plus or minus, how well a distance is read"},
	"box":             {Label: "Serial of the box", Kind: form.Text, Help: "that the readings are of: the check holds for it alone; left empty where they are taken from the box, or the one that speaks is meant"},
	"by":              {Label: "Checked by", Kind: form.Text, Help: "left empty, the operator of the job"},
	"certificate":     {Label: "Certificate", Kind: form.Text, Help: "of the reference instrument"},
	"due":             {Label: "Due again", Kind: form.Text, Help: "a day: 2027-05-04"},
	"done":            {Label: "Done", Kind: form.Text, Help: "a time, 2026-05-04T07:40:00Z, or a day; left empty, now"},
}

// checkCautions say what could hurt while a check is done.
var checkCautions = map[calib.Subject]string{
	calib.ZeroCheck: "Switch the power source off and keep it from being switched on, so that no arc can strike.",
	calib.MeterCheck: "An open arc circuit can carry up to 113 V. Only people who may work on live parts connect a meter to it, and with the source off. " +
		"Taken from the sensor box, each reference is read in turn, ten seconds apart: set the first one before you begin.",
	calib.WireCheck:     "Keep the arc from striking: source off or ground clamp off. The end of the wire is sharp and comes out fast: aim it away from people, wear eye protection.",
	calib.RotationCheck: "The arm turns: keep hands, sleeves and tools out of its way. No arc.",
	calib.CentringCheck: "The arm turns: stop it before you reach in with a gauge. No arc; the torch and the wall may be hot.",
}

// liveChecks can take their readings from the sensor box.
var liveChecks = []calib.Subject{calib.ZeroCheck, calib.MeterCheck, calib.WireCheck}

// CheckKinds implements page.Checker.
func (w *workshop) CheckKinds() []page.CheckKind {
	var kinds []page.CheckKind
	for _, k := range check.Kinds {
		told := page.CheckKind{Kind: string(k.Subject), What: k.What, Caution: checkCautions[k.Subject], Rows: k.Rows, CanBeLive: slices.Contains(liveChecks, k.Subject)}
		for _, key := range slices.Concat(k.Needs, k.Takes, check.CommonKeys) {
			if !slices.ContainsFunc(told.Fields, func(f form.Field) bool { return f.Key == key }) {
				told.Fields = append(told.Fields, fieldOf(k, key))
			}
		}
		kinds = append(kinds, told)
	}
	return kinds
}

// fieldOf is a key of a check as a page shows it.
func fieldOf(k check.Kind, key string) form.Field {
	f, ok := checkFields[key]
	if !ok {
		panic("serve: a check takes the key " + key + ", which no page knows")
	}
	f.Key, f.Required = key, slices.Contains(k.Needs, key)
	if key == "channel" {
		for _, c := range check.Channels {
			if c.Zero || k.Subject != calib.ZeroCheck {
				f.Choices = append(f.Choices, c.Name)
			}
		}
	}
	return f
}
