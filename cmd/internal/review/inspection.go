package review

import (
	"fmt"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/inspect"
	"arctally/analyze/plausible"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/pairs"
)

var dispositionKeys = pairs.Keys{
	Command: "inspect", Subject: "a disposition",
	Needs: []string{"method", "decision", "by"},
	Takes: []string{"finding", "event", "of-entry", "result", "remark", "corrects"},
	Many:  []string{"photograph", "caption"},
}

var machiningKeys = pairs.Keys{
	Command: "inspect", Subject: string(inspect.OfMachining),
	Needs: []string{"cleaned-up", "by"},
	Takes: []string{"instrument", "uncertainty", "wanted", "where", "remark", "corrects"},
	Many:  []string{"station", "photograph", "caption"},
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

// ReadInspection makes the entries of one act of what stood on the line: one, or one about each
// finding of an event.
func (r *Review) ReadInspection(pairs []string) (act []inspect.Entry, pictures []Picture, err error) {
	keys, fill := dispositionKeys, r.readDisposition
	if pairs[0] == machiningKeys.Subject {
		keys, fill, pairs = machiningKeys, r.ReadMachining, pairs[1:]
	}
	in, err := keys.Read(pairs)
	if err != nil {
		return nil, nil, err
	}
	e := inspect.Entry{By: in.Text("by"), Corrects: in.Number("corrects")}
	err = fill(in, &e)
	if act = []inspect.Entry{e}; err == nil && in.Has("event") {
		act, err = r.Decide(in.Number("event"), e)
	}
	if in.Wrong != nil { // it may be why the rest cannot be read
		err = in.Wrong
	}
	for k := range act {
		if err == nil {
			err = act[k].Check()
		}
	}
	if err == nil && e.SaysNothing() && !in.HasMany("photograph") {
		err = ErrSaysNothing
	}
	if err != nil {
		return nil, nil, err
	}
	pictures, err = picturesOf(in)
	return act, pictures, err
}

// Decide makes the entries by which a person decides on an event as one.
func (r *Review) Decide(event int, e inspect.Entry) ([]inspect.Entry, error) {
	of := r.Book.Event(event)
	if of == nil {
		return nil, NoEvent(r.File, event)
	}
	return r.Book.Decide(of, e)
}

// NoEvent is about an event that a record does not have.
func NoEvent(file string, number int) error {
	return noFinding(file, fmt.Sprintf("there is no event %d", number))
}

// DecideAll makes the entries by which a person decides on several events of one cause with the same words.
// Count is how many findings the person said that they have: who picked other ones than meant learns it here.
func (r *Review) DecideAll(events []int, count int, e inspect.Entry) (act []inspect.Entry, err error) {
	var cause string
	for k, number := range events {
		of := r.Book.Event(number)
		switch {
		case of == nil:
			return nil, NoEvent(r.File, number)
		case slices.Contains(events[:k], number):
			return nil, unfit(r.File, fmt.Sprintf("event %d stands twice among them", number), "pick each event once")
		case k > 0 && string(of.Cause) != cause:
			return nil, unfit(r.File, fmt.Sprintf("event %d is of another cause: %s, and not %s", number, of.Cause, cause), "decide on events of one cause at once, and on the others by themselves")
		}
		cause = string(of.Cause)
		one, err := r.Book.Decide(of, e)
		if err != nil {
			return nil, err
		}
		act = append(act, one...)
	}
	if len(act) != count {
		return nil, unfit(r.File, fmt.Sprintf("these events have %d findings, and not %d; nothing was written", len(act), count), "look at the list again")
	}
	return act, nil
}

func unfit(file, text, next string) error {
	return &explain.Error{Kind: explain.Unfit, Text: "record " + file + ": " + text, Next: next}
}

// picturesOf reads the photographs and puts the captions to them.
func picturesOf(in *pairs.Input) (pictures []Picture, err error) {
	captions := in.Lists["caption"]
	if len(captions) > len(in.Lists["photograph"]) {
		return nil, inspectMisuse("there are more captions than photographs")
	}
	for k, file := range in.Lists["photograph"] {
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
func (r *Review) readDisposition(in *pairs.Input, e *inspect.Entry) error {
	d := &inspect.Disposition{
		Method: inspect.Method(in.Text("method")), Result: inspect.Result(in.Text("result")),
		Decision: inspect.Decision(in.Text("decision")), Remark: in.Text("remark"),
	}
	if d.Method == inspect.NoMethod && d.Result == "" {
		d.Result = inspect.NotInspected
	}
	e.Disposition = d
	if in.Has("event") {
		if in.Has("finding") || in.Has("of-entry") {
			return inspectMisuse("event= is about all of its findings: leave out finding= and of-entry=")
		}
		return nil
	}
	var err error
	d.Of, err = r.Refer(in.Number("finding"), in.Number("of-entry"), e.Corrects)
	return err
}

// Refer finds the finding that an entry is about: by its number, or as the one
// of another entry, that which is corrected if none is named.
func (r *Review) Refer(number, entry, corrects int) (of inspect.Reference, err error) {
	if number != 0 && entry != 0 {
		return of, inspectMisuse("finding= and of-entry= both say which finding: leave one out")
	}
	if number == 0 && entry == 0 {
		entry = corrects
	}
	if number != 0 {
		k := slices.IndexFunc(r.Book.Findings, func(i inspect.Item) bool { return i.Of.Number == number })
		if k < 0 {
			return of, noFinding(r.File, fmt.Sprintf("there is no finding %d", number))
		}
		return r.Book.Findings[k].Of, nil
	}
	if entry == 0 {
		return of, inspectMisuse("which finding, or which event? finding=N or event=N; %s takes %s", dispositionKeys.Subject, dispositionKeys.Usage())
	}
	for _, item := range slices.Concat(r.Book.Findings, r.Book.Orphans) {
		if slices.ContainsFunc(item.History, func(h inspect.Kept) bool { return h.Number == entry }) {
			return item.Of, nil
		}
	}
	return of, noFinding(r.File, fmt.Sprintf("there is no entry %d about a finding", entry))
}

// ReadMachining takes the final measurement, and holds it against the bore of the job.
// What was kept on purpose is said in the remark.
func (r *Review) ReadMachining(in *pairs.Input, e *inspect.Entry) (err error) {
	m := &inspect.Machining{
		Instrument: in.Text("instrument"), CleanedUp: inspect.CleanedUp(in.Text("cleaned-up")), Where: in.Text("where"), Remark: in.Text("remark"),
	}
	e.Machining = m
	bands := usualOf(r.plan.Bore)
	if in.Has("uncertainty") {
		u := pairs.Quantity[quantity.Metres](in, "uncertainty", in.Text("uncertainty"), bands.uncertainty)
		m.Expanded = &u
	}
	if in.Has("wanted") {
		m.Wanted = pairs.Window[quantity.Metres](in, "wanted", in.Text("wanted"), bands.diameter)
	}
	for k, text := range in.Lists["station"] {
		parts, err := quantity.Split(text)
		if err != nil || len(parts) != 3 {
			in.Fail("station", fmt.Errorf("%q: write depth, angle and diameter: 10mm;0deg;90.02mm", text))
			continue
		}
		field := func(name string) string { return fmt.Sprintf("station %d %s", k+1, name) }
		m.Stations = append(m.Stations, inspect.Station{
			Depth:    pairs.Quantity[quantity.Metres](in, field("depth"), parts[0], bands.depth),
			Angle:    pairs.Quantity[quantity.Degrees](in, field("angle"), parts[1], bands.angle),
			Diameter: pairs.Quantity[quantity.Metres](in, field("diameter"), parts[2], bands.diameter),
		})
	}
	kept, err := in.Settle()
	if words := plausible.KeptWords(kept); words != "" {
		m.Remark = strings.TrimPrefix(m.Remark+"; "+words, "; ")
	}
	return err
}

// noFinding is an entry about what the record does not have.
func noFinding(file, text string) error {
	return &explain.Error{
		Kind: explain.Unfit, Text: "record " + file + ": " + text,
		Next:   "arctally inspect " + file + " shows the findings and the entries",
		OnPage: "the list has those that there are",
	}
}

// InspectionUsage is the list of keys in the help.
func InspectionUsage() string {
	return "  Without key=value it shows the events with their findings, how each stands, and the entries.\n" +
		"  " + dispositionKeys.Usage() + "\n" +
		"        method: " + words(inspect.Methods) + "\n" +
		"        result: " + words(inspect.Results) + "\n" +
		"        decision: " + words(inspect.Decisions) + "\n" +
		"        finding=1, or event=1: about all findings of the event, with an entry each, in one act\n" +
		"        of-entry=3: about the finding that entry 3 is about, in place of finding=\n" +
		"  machining " + machiningKeys.Usage() + "\n" +
		"        station=10mm;0deg;90.02mm: depth, angle and diameter; wanted=90.00..90.05mm; uncertainty with k = 2\n" +
		"        sure=\"station 1 diameter 9 m\" keeps a value outside of what is usual, and the record says so\n" +
		"        cleaned-up: " + words(inspect.CleanUps) + "\n" +
		"  An entry is never changed: corrects=3 puts another one in the place of entry 3, and both stay.\n" +
		"  With event= it corrects all entries that were put on record with entry 3 about findings of that event.\n" +
		"  A photograph is a JPEG or a PNG of up to 16 MiB. It is written anew: its dots are kept, and nothing of when, where and by what it was\n" +
		"  taken. caption= goes with the photograph in the same place."
}
