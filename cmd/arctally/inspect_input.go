package main

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/inspect"
	"arctally/cmd/internal/explain"
)

var dispositionKeys = lineKeys{
	command: "inspect", subject: "a disposition",
	needs: []string{"method", "decision", "by"},
	takes: []string{"finding", "of-entry", "result", "remark", "corrects"},
	many:  []string{"photograph", "caption"},
}

var machiningKeys = lineKeys{
	command: "inspect", subject: string(inspect.OfMachining),
	needs: []string{"cleaned-up", "by"},
	takes: []string{"instrument", "uncertainty", "wanted", "where", "remark", "corrects"},
	many:  []string{"station", "photograph", "caption"},
}

func inspectMisuse(format string, arg ...any) *explain.MisuseError {
	return &explain.MisuseError{Command: "inspect", Text: fmt.Sprintf(format, arg...)}
}

// words lists what may be written.
func words[W ~string](list []W) string {
	texts := make([]string, len(list))
	for k, w := range list {
		texts[k] = string(w)
	}
	return strings.Join(texts, ", ")
}

// readInspection makes an entry of what stood on the line.
func (r *review) readInspection(pairs []string) (e inspect.Entry, pictures []picture, err error) {
	keys, fill := dispositionKeys, r.readDisposition
	if pairs[0] == machiningKeys.subject {
		keys, fill, pairs = machiningKeys, readMachining, pairs[1:]
	}
	in, err := keys.read(pairs)
	if err != nil {
		return e, nil, err
	}
	e.By, e.Corrects = in.text("by"), in.number("corrects")
	err = fill(in, &e)
	if in.wrong != nil { // it may be why the rest cannot be read
		err = in.wrong
	}
	if err == nil {
		err = e.Check()
	}
	if err != nil {
		return e, nil, err
	}
	pictures, err = picturesOf(in)
	return e, pictures, err
}

// picturesOf reads the photographs and puts the captions to them.
func picturesOf(in *lineInput) (pictures []picture, err error) {
	captions := in.lists["caption"]
	if len(captions) > len(in.lists["photograph"]) {
		return nil, inspectMisuse("there are more captions than photographs")
	}
	for k, file := range in.lists["photograph"] {
		caption := ""
		if k < len(captions) {
			caption = captions[k]
		}
		p, err := openPicture(file, caption)
		if err != nil {
			return nil, err
		}
		pictures = append(pictures, p)
	}
	return pictures, nil
}

// readDisposition takes what was found and decided. What nobody inspected needs
// no result.
func (r *review) readDisposition(in *lineInput, e *inspect.Entry) error {
	d := &inspect.Disposition{
		Method: inspect.Method(in.text("method")), Result: inspect.Result(in.text("result")),
		Decision: inspect.Decision(in.text("decision")), Remark: in.text("remark"),
	}
	if d.Method == inspect.NoMethod && d.Result == "" {
		d.Result = inspect.NotInspected
	}
	e.Disposition = d
	var err error
	d.Of, err = r.refer(in.number("finding"), in.number("of-entry"), e.Corrects)
	return err
}

// refer finds the finding that an entry is about: by its number, or as the one
// of another entry, that which is corrected if none is named.
func (r *review) refer(number, entry, corrects int) (of inspect.Reference, err error) {
	if number != 0 && entry != 0 {
		return of, inspectMisuse("finding= and of-entry= both say which finding: leave one out")
	}
	if number == 0 && entry == 0 {
		entry = corrects
	}
	if number != 0 {
		k := slices.IndexFunc(r.book.Findings, func(i inspect.Item) bool { return i.Of.Number == number })
		if k < 0 {
			return of, noFinding(r.file, fmt.Sprintf("there is no finding %d", number))
		}
		return r.book.Findings[k].Of, nil
	}
	if entry == 0 {
		return of, inspectMisuse("which finding? finding=N; %s takes %s", dispositionKeys.subject, dispositionKeys.usage())
	}
	for _, item := range slices.Concat(r.book.Findings, r.book.Orphans) {
		if slices.ContainsFunc(item.History, func(h inspect.Kept) bool { return h.Number == entry }) {
			return item.Of, nil
		}
	}
	return of, noFinding(r.file, fmt.Sprintf("there is no entry %d about a finding", entry))
}

// readMachining takes the final measurement.
func readMachining(in *lineInput, e *inspect.Entry) (err error) {
	m := &inspect.Machining{
		Instrument: in.text("instrument"), CleanedUp: inspect.CleanedUp(in.text("cleaned-up")), Where: in.text("where"), Remark: in.text("remark"),
	}
	e.Machining = m
	if in.has("uncertainty") {
		u, err := quantity.Parse[quantity.Metres](in.text("uncertainty"))
		in.fail("uncertainty", err)
		m.Expanded = &u
	}
	if in.has("wanted") {
		m.Wanted, err = quantity.ParseRange[quantity.Metres](in.text("wanted"))
		in.fail("wanted", err)
	}
	for _, text := range in.lists["station"] {
		station, err := readStation(text)
		in.fail("station", err)
		m.Stations = append(m.Stations, station)
	}
	return nil
}

// readStation reads depth, angle and diameter, parted by commas.
func readStation(text string) (s inspect.Station, err error) {
	parts := strings.Split(text, ",")
	if len(parts) != 3 {
		return s, fmt.Errorf("%q: write depth, angle and diameter: 10mm,0deg,90.02mm", text)
	}
	if s.Depth, err = quantity.Parse[quantity.Metres](parts[0]); err != nil {
		return s, err
	}
	if s.Angle, err = quantity.Parse[quantity.Degrees](parts[1]); err != nil {
		return s, err
	}
	s.Diameter, err = quantity.Parse[quantity.Metres](parts[2])
	return s, err
}

// noFinding is an entry about what the record does not have.
func noFinding(file, text string) error {
	return &explain.Error{
		Kind: explain.Unfit, Text: "record " + file + ": " + text,
		Next: "arctally inspect " + file + " shows the findings and the entries",
	}
}

// inspectUsage is the list of keys in the help.
func inspectUsage() string {
	return "  Without key=value it shows the findings, how each stands, and the entries.\n" +
		"  " + dispositionKeys.usage() + "\n" +
		"        method: " + words(inspect.Methods) + "\n" +
		"        result: " + words(inspect.Results) + "\n" +
		"        decision: " + words(inspect.Decisions) + "\n" +
		"        of-entry=3: about the finding that entry 3 is about, in place of finding=\n" +
		"  machining " + machiningKeys.usage() + "\n" +
		"        station=10mm,0deg,90.02mm: depth, angle and diameter; wanted=90.00..90.05mm; uncertainty with k = 2\n" +
		"        cleaned-up: " + words(inspect.CleanUps) + "\n" +
		"  An entry is never changed: corrects=3 puts another one in the place of entry 3, and both stay.\n" +
		"  A photograph has up to 16 MiB; caption= goes with the photograph in the same place."
}
