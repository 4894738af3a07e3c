package sheet

import (
	"slices"

	"arctally/analyze/inspect"
)

// How many events, and how many findings of one event, are sent at once: a page that a person
// looks over, and an answer that does not grow with the record. Ours, no source.
const (
	MostOnPage   = 25
	MostFindings = 10
)

// EventPage is a part of the list of events, with what a person needs to choose another one.
type EventPage struct {
	Record       string         `json:"record"`
	Job          string         `json:"job"`
	Banner       Banner         `json:"banner"`
	All          int            `json:"all"`           // events of the record
	Open         int            `json:"open"`          // of them somebody has still to do something about
	OpenFindings int            `json:"open_findings"` // those of another judgement too
	Chosen       int            `json:"chosen"`        // events that are chosen
	From         int            `json:"from"`          // how many of these come before
	Events       []EventLine    `json:"events"`
	Next         *int           `json:"next"` // number of the first event that is chosen and that nobody has decided on
	Choices      EventOptions   `json:"choices"`
	Newest       int            `json:"newest"` // number of the newest entry; 0 is none
	Orphans      []FindingRow   `json:"orphans"`
	MoreOrphans  int            `json:"more_orphans"` // that are not sent
	Machining    []MachiningRow `json:"machining"`
	Length       *float64       `json:"length_mm"` // of the bore; null is not known
}

// EventOptions are what events can be chosen by.
type EventOptions struct {
	State []EventOption `json:"state"`
	Cause []EventOption `json:"cause"`
	Rule  []EventOption `json:"rule"`
	Pass  []EventOption `json:"pass"`
	Layer []EventOption `json:"layer"`
}

// EventLine is an event as it stands in the list; null is not known.
type EventLine struct {
	Number           int      `json:"number"`
	Group            string   `json:"group"` // the heading under which it stands; empty is none
	Cause            string   `json:"cause"`
	State            string   `json:"state"`
	Where            string   `json:"where"` // in words and in the units that were asked for
	Worst            string   `json:"worst"`
	Findings         int      `json:"findings"`
	Open             int      `json:"open_findings"`
	Layer            *int     `json:"layer"`
	Turn             *int     `json:"turn"` // of its pass, from 1
	Angle            *float64 `json:"angle_deg"`
	AngleUncertainty *float64 `json:"angle_uncertainty_deg"`
	Depth            *float64 `json:"depth_mm"`
	Start            *string  `json:"start"`
	Lead             int      `json:"lead"`      // number of the finding that tells the cause
	LeadPass         int      `json:"lead_pass"` // and its pass
	TickNS           int64    `json:"tick_ns"`
}

// EventPage returns the events that are chosen, from so many on.
func (s *Sheet) EventPage(c EventChoice, from int, u Units) EventPage {
	chosen, options := s.choose(c)
	slices.SortFunc(chosen, c.before(true))
	p := EventPage{
		Record: s.Record, Job: s.Job.Name, Banner: s.Banner(u), All: len(s.Events), Open: s.Book.OpenEvents(), OpenFindings: s.Book.Open(),
		Chosen: len(chosen), From: min(from, len(chosen)), Events: []EventLine{}, Newest: newest(&s.Book), Machining: machiningRows(&s.Book),
		Choices: EventOptions{State: options[0], Cause: options[1], Rule: options[2], Pass: options[3], Layer: options[4]},
	}
	for _, e := range part(chosen, p.From, MostOnPage) {
		p.Events = append(p.Events, s.line(e, c, u))
	}
	if k := slices.IndexFunc(chosen, (*Event).undecided); k >= 0 {
		p.Next = &chosen[k].Number
	}
	orphans := orphanRows(&s.Book)
	p.Orphans = append([]FindingRow{}, part(orphans, 0, MostFindings)...)
	p.MoreOrphans = len(orphans) - len(p.Orphans)
	if s.Wall != nil {
		p.Length = In(&s.Job.Bore.Length, "mm")
	}
	return p
}

// part is what is sent of a list.
func part[E any](all []E, from, most int) []E {
	from = min(from, len(all))
	return all[from:min(from+most, len(all))]
}

// newest is the number of the newest entry; 0 is none.
func newest(b *inspect.Book) int {
	all := b.Entries()
	if len(all) == 0 {
		return 0
	}
	return all[len(all)-1].Number
}

func (s *Sheet) line(e *Event, c EventChoice, u Units) EventLine {
	angle, depth := PlaceOf(e.Place)
	return EventLine{
		Number: e.Number, Group: c.headOf(e), Cause: string(e.Cause), State: string(e.State), Where: e.Where(u), Worst: e.WorstText(u),
		Findings: len(e.Findings), Open: e.Open, Layer: positive(e.Layer), Turn: positive(s.turnOf(e)),
		Angle: angle, AngleUncertainty: AngleUncertainty(e.Place), Depth: depth, Start: e.Began.rfc3339(),
		Lead: e.Lead.Number, LeadPass: e.Lead.Finding.Pass, TickNS: e.Lead.Start.Tick,
	}
}

// EventAlone is one event with its findings, and where a person goes on from it.
type EventAlone struct {
	Event        EventLine    `json:"event"`
	Sentence     string       `json:"sentence"`
	Findings     []FindingRow `json:"findings"`
	From         int          `json:"from"`      // how many of its findings come before
	Next         *int         `json:"next"`      // number of the event after it that nobody has decided on
	Previous     *int         `json:"previous"`  // and of the one before it
	Undecided    int          `json:"undecided"` // events that are chosen and that nobody has decided on
	Open         int          `json:"open"`      // events of the record that are open
	Newest       int          `json:"newest"`    // number of the newest entry of the record; 0 is none
	Length       *float64     `json:"length_mm"`
	OpenFindings int          `json:"open_findings"` // of the record
}

// EventAlone returns one event; next and previous are the nearest ones that are chosen and that
// nobody has decided on, round about the list, so that nothing is left behind. False is an event that is not there.
func (s *Sheet) EventAlone(number int, c EventChoice, from int, u Units) (one EventAlone, ok bool) {
	k := slices.IndexFunc(s.Events, func(e Event) bool { return e.Number == number })
	if k < 0 {
		return one, false
	}
	e := &s.Events[k]
	one = EventAlone{
		Event: s.line(e, c, u), Sentence: e.SentenceFor(u), Findings: []FindingRow{}, From: min(from, len(e.Of)),
		Open: s.Book.OpenEvents(), OpenFindings: s.Book.Open(), Newest: newest(&s.Book),
	}
	for _, f := range part(e.Of, one.From, MostFindings) {
		row := s.findingRow(slices.IndexFunc(s.Findings, func(o Finding) bool { return o.Number == f.Number }))
		row.Sentence = f.SentenceFor(u)
		one.Findings = append(one.Findings, row)
	}
	if s.Wall != nil {
		one.Length = In(&s.Job.Bore.Length, "mm")
	}
	one.Next, one.Previous, one.Undecided = s.around(e, c)
	return one, true
}

// around are the neighbours of an event among those that are chosen and that nobody has decided on.
func (s *Sheet) around(e *Event, c EventChoice) (next, previous *int, undecided int) {
	c.State = "" // a decision must not change where one is
	chosen, _ := s.choose(c)
	chosen = slices.DeleteFunc(chosen, func(o *Event) bool { return !o.undecided() })
	undecided = len(chosen)
	chosen = slices.DeleteFunc(chosen, func(o *Event) bool { return o == e })
	if len(chosen) == 0 {
		return nil, nil, undecided
	}
	before := c.before(false)
	slices.SortFunc(chosen, before)
	after, _ := slices.BinarySearchFunc(chosen, e, before)
	n := len(chosen)
	return &chosen[after%n].Number, &chosen[(after+n-1)%n].Number, undecided
}
