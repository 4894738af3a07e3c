package inspect

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/finding"
)

// onDisposition returns an entry after a change to a disposition that is fine.
func onDisposition(change func(*Entry, *Disposition)) Entry {
	e := decided(1, found(1, finding.ArcOut, 1), Accept)
	e.Disposition.Remark = ""
	change(&e, e.Disposition)
	return e
}

func onMachining(change func(*Machining)) Entry {
	m := machining(0.09, 0.09)
	change(m)
	return Entry{By: "Inspector 1", Machining: m}
}

func picture() Photograph {
	return Photograph{SHA256: strings.Repeat("0a", 32), Type: "image/png", Size: 5}
}

func TestCheck_Refuses(t *testing.T) {
	for name, test := range map[string]struct {
		entry Entry
		field string
	}{
		"nobody":         {onDisposition(func(e *Entry, _ *Disposition) { e.By = " " }), "by"},
		"long name":      {onDisposition(func(e *Entry, _ *Disposition) { e.By = strings.Repeat("x", MaxName+1) }), "by"},
		"no text":        {onDisposition(func(e *Entry, _ *Disposition) { e.By = "\xff" }), "by"},
		"nothing":        {Entry{By: "Inspector 1"}, ""},
		"both":           {onDisposition(func(e *Entry, _ *Disposition) { e.Machining = machining() }), ""},
		"corrects":       {onDisposition(func(e *Entry, _ *Disposition) { e.Corrects = -1 }), "corrects"},
		"no method":      {onDisposition(func(_ *Entry, d *Disposition) { d.Method = "" }), "method"},
		"method":         {onDisposition(func(_ *Entry, d *Disposition) { d.Method = "by ear" }), "method"},
		"no result":      {onDisposition(func(_ *Entry, d *Disposition) { d.Result = "" }), "result"},
		"no decision":    {onDisposition(func(_ *Entry, d *Disposition) { d.Decision = "" }), "decision"},
		"remark":         {onDisposition(func(_ *Entry, d *Disposition) { d.Remark = strings.Repeat("x", MaxRemark+1) }), "remark"},
		"of nothing":     {onDisposition(func(_ *Entry, d *Disposition) { d.Of.Rule = "" }), "of"},
		"of no number":   {onDisposition(func(_ *Entry, d *Disposition) { d.Of.Worst = math.NaN() }), "of"},
		"of no place":    {onDisposition(func(_ *Entry, d *Disposition) { *d.Of.Depth = quantity.Metres(math.Inf(1)) }), "of"},
		"looked":         {onDisposition(func(_ *Entry, d *Disposition) { d.Result = NotInspected }), "result"},
		"did not look":   {onDisposition(func(_ *Entry, d *Disposition) { d.Method = NoMethod }), "method"},
		"not good":       {onDisposition(func(_ *Entry, d *Disposition) { d.Result = NotAcceptable }), "remark"},
		"unseen":         {onDisposition(func(_ *Entry, d *Disposition) { d.Method, d.Result = NoMethod, NotInspected }), "remark"},
		"unseen cut":     {onDisposition(func(_ *Entry, d *Disposition) { d.Method, d.Result, d.Decision = NoMethod, NotInspected, MachinedAway }), "remark"},
		"repair of air":  {onDisposition(func(_ *Entry, d *Disposition) { d.Decision = Repair }), "remark"},
		"repair of good": {onDisposition(func(_ *Entry, d *Disposition) { d.Decision, d.Result = Repair, Acceptable }), "remark"},
		"pictures":       {onDisposition(func(e *Entry, _ *Disposition) { e.Photographs = make([]Photograph, MaxPhotographs+1) }), "photographs"},
		"digest": {onDisposition(func(e *Entry, _ *Disposition) {
			e.Photographs = []Photograph{picture()}
			e.Photographs[0].SHA256 = strings.Repeat("0A", 32)
		}), "photographs.sha256"},
		"no picture": {onDisposition(func(e *Entry, _ *Disposition) {
			e.Photographs = []Photograph{picture()}
			e.Photographs[0].Type = "text/plain"
		}), "photographs.type"},
		"empty picture": {onDisposition(func(e *Entry, _ *Disposition) {
			e.Photographs = []Photograph{picture()}
			e.Photographs[0].Size = 0
		}), "photographs.size"},
		"caption": {onDisposition(func(e *Entry, _ *Disposition) {
			e.Photographs = []Photograph{picture()}
			e.Photographs[0].Caption = strings.Repeat("x", MaxName+1)
		}), "photographs.caption"},
		"cleaned up":     {onMachining(func(m *Machining) { m.CleanedUp = "" }), "cleaned-up"},
		"where":          {onMachining(func(m *Machining) { m.CleanedUp = NotAllRound }), "where"},
		"where not":      {onMachining(func(m *Machining) { m.Where = "at 90 deg" }), "where"},
		"no instrument":  {onMachining(func(m *Machining) { m.Instrument = "" }), "instrument"},
		"many stations":  {onMachining(func(m *Machining) { m.Stations = make([]Station, MaxStations+1) }), "stations"},
		"no diameter":    {onMachining(func(m *Machining) { m.Stations[1].Diameter = 0 }), "stations"},
		"no depth":       {onMachining(func(m *Machining) { m.Stations[1].Depth = quantity.Metres(math.NaN()) }), "stations"},
		"no uncertainty": {onMachining(func(m *Machining) { m.Expanded = new(quantity.Metres) }), "uncertainty"},
		"reversed":       {onMachining(func(m *Machining) { m.Wanted = window(new(quantity.Metres(2)), new(quantity.Metres(1))) }), "wanted"},
		"wanted below 0": {onMachining(func(m *Machining) { m.Wanted = window(new(quantity.Metres(-2)), nil) }), "wanted"},
	} {
		t.Run(name, func(t *testing.T) {
			var e *Error
			_, err := test.entry.Encode()
			require.ErrorAs(t, err, &e)
			require.Equal(t, test.field, e.Field, "%v", e)
			require.NotEmpty(t, e.Hint())
		})
	}
}

// What an inspector may do with a reason, and without.
func TestCheck_LetsThrough(t *testing.T) {
	for _, e := range []Entry{
		onDisposition(func(*Entry, *Disposition) {}),
		onDisposition(func(_ *Entry, d *Disposition) {
			d.Method, d.Result, d.Remark = NoMethod, NotInspected, "the owner accepts it in writing"
		}),
		onDisposition(func(_ *Entry, d *Disposition) { d.Result, d.Decision = NotAcceptable, Repair }),
		onDisposition(func(_ *Entry, d *Disposition) { d.Method, d.Result, d.Decision = NoMethod, NotInspected, Repair }),
		onDisposition(func(_ *Entry, d *Disposition) { d.Result, d.Decision = NotAcceptable, KeepOpen }),
		onDisposition(func(_ *Entry, d *Disposition) {
			d.Method, d.Result, d.Decision = LiquidPenetrant, NotAcceptable, MachinedAway
		}),
		onMachining(func(m *Machining) { m.CleanedUp, m.Where = NotAllRound, "200 to 215 deg, 8 mm deep" }),
		{By: "Inspector 1", Machining: &Machining{CleanedUp: AllRound, Remark: "no gauge at hand"}},
	} {
		require.NoError(t, e.Check())
	}
}

func TestFollows(t *testing.T) {
	f := found(1, finding.ArcOut, 1)
	known := []Entry{decided(1, f, Accept), decided(2, f, Repair), {Number: 3, By: "Inspector 1", Machining: &Machining{CleanedUp: NotSaid}}}
	known[1].Corrects = 1
	for corrects, want := range map[int]string{0: "", 2: "", 1: "entry 2 took the place of entry 1 before", 3: "entry 3 is a machining", 9: "there is no entry 9"} {
		e := decided(0, f, KeepOpen)
		e.Corrects = corrects
		err := e.Follows(known)
		if want == "" {
			require.NoError(t, err)
			continue
		}
		require.ErrorContains(t, err, want)
	}
}

func samples() []Entry {
	d := decided(7, found(1, finding.ArcOut, 1), KeepOpen)
	d.Corrects, d.Photographs = 3, []Photograph{picture()}
	nowhere := decided(8, found(1, finding.HeatInput, math.MaxInt64), Accept)
	nowhere.Disposition.Of.Angle, nowhere.Disposition.Of.Depth = nil, nil
	m := onMachining(func(m *Machining) {
		m.Wanted, m.Expanded = window(new(quantity.Metres(0.0900123)), nil), new(quantity.Metres(0.00001))
	})
	bare := Entry{By: "Inspector 1", Machining: &Machining{Stations: []Station{}, CleanedUp: NotSaid}}
	all := []Entry{d, nowhere, m, bare}
	for k := range all {
		all[k].Number, all[k].At = k+1, time.Unix(5, 6).UTC()
	}
	return all
}

func TestEncode_ComesBack(t *testing.T) {
	for _, e := range samples() {
		text, err := e.Encode()
		require.NoError(t, err)
		got, err := Decode(e.Number, e.Kind(), e.By, e.At, text)
		require.NoError(t, err, text)
		require.Equal(t, e, got)
	}
}

func TestDecode_IsStrict(t *testing.T) {
	e := samples()[0]
	text, err := e.Encode()
	require.NoError(t, err)
	for name, bad := range map[string]string{
		"unknown key": strings.Replace(text, `"corrects"`, `"corrected"`, 1), "unknown inside": strings.Replace(text, `"method"`, `"metod"`, 1),
		"more": text + "{}", "null": "null", "empty": "", "number": "7", "cut": text[:len(text)-1], "long": strings.Repeat(" ", maxText+1),
	} {
		_, err := Decode(1, OfFinding, "Inspector 1", e.At, bad)
		var own *Error
		require.ErrorAs(t, err, &own, name)
	}
	_, err = Decode(1, OfMachining, "Inspector 1", e.At, text)
	require.ErrorContains(t, err, "stands beside the text of a disposition")
	_, err = Decode(1, "quality", "Inspector 1", e.At, text)
	require.ErrorContains(t, err, `"quality"`)
}

// FuzzDecode holds that whatever is decoded is fit for a record, comes back the
// same, and can be folded and measured.
func FuzzDecode(f *testing.F) {
	for _, e := range samples() {
		text, err := e.Encode()
		require.NoError(f, err)
		f.Add(string(e.Kind()), e.By, text)
	}
	f.Fuzz(func(t *testing.T, kind, by, text string) {
		e, err := Decode(1, Kind(kind), by, time.Unix(1, 0), text)
		if err != nil {
			return
		}
		again, err := e.Encode()
		require.NoError(t, err)
		got, err := Decode(1, Kind(kind), by, time.Unix(1, 0), again)
		require.NoError(t, err)
		same, err := got.Encode()
		require.NoError(t, err)
		require.Equal(t, again, same)
		book := Fold([]Entry{e}, nil)
		require.Len(t, book.Entries(), 1)
		if e.Machining != nil && e.Machining.Size() != nil {
			require.LessOrEqual(t, e.Machining.Size().Least.Diameter, e.Machining.Size().Greatest.Diameter)
		}
	})
}

// As much as an entry takes is taken.
func TestCheck_LetsThroughTheMost(t *testing.T) {
	e := onDisposition(func(e *Entry, d *Disposition) {
		e.By, d.Remark = strings.Repeat("é", MaxName), strings.Repeat("é", MaxRemark)
		e.Photographs = make([]Photograph, MaxPhotographs)
		for k := range e.Photographs {
			e.Photographs[k] = picture()
		}
	})
	require.NoError(t, e.Check())
	e = onMachining(func(m *Machining) {
		m.Stations = make([]Station, MaxStations)
		for k := range m.Stations {
			m.Stations[k].Diameter = 0.09
		}
	})
	require.NoError(t, e.Check())
	text, err := e.Encode()
	require.NoError(t, err)
	_, err = Decode(1, OfMachining, e.By, e.At, text+strings.Repeat(" ", maxText-len(text)))
	require.NoError(t, err)
}

// What is wrong is said with its place, where it has one.
func TestError_SaysWhere(t *testing.T) {
	for want, e := range map[string]Entry{
		"an entry is about a finding or about the machining": {By: "Inspector 1"},
		"method: it is missing":                              onDisposition(func(_ *Entry, d *Disposition) { d.Method = "" }),
		`method: "by ear" is not known`:                      onDisposition(func(_ *Entry, d *Disposition) { d.Method = "by ear" }),
		"of.rule: 101 characters, where 100 are the most":    onDisposition(func(_ *Entry, d *Disposition) { d.Of.Rule = finding.Rule(strings.Repeat("x", MaxName+1)) }),
		"stations: station 2 is no measured diameter":        onMachining(func(m *Machining) { m.Stations[1].Diameter = 0 }),
	} {
		require.EqualError(t, e.Check(), want)
	}
}

// An entry of a record that says one thing twice says neither.
func TestDecode_SaysEachOnce(t *testing.T) {
	e := onDisposition(func(*Entry, *Disposition) {})
	text, err := e.Encode()
	require.NoError(t, err)
	_, err = Decode(1, e.Kind(), e.By, time.Unix(1, 0), text)
	require.NoError(t, err)
	twice := strings.Replace(text, `"decision"`, `"decision": "accept", "decision"`, 1)
	require.NotEqual(t, text, twice)
	_, err = Decode(1, e.Kind(), e.By, time.Unix(1, 0), twice)
	require.ErrorContains(t, err, `the key "decision" stands twice`)
}
