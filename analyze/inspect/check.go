package inspect

import (
	"encoding/hex"
	"math"
	"strings"
	"unicode/utf8"

	"arctally/acquire/quantity"
)

// Limits of what a person may put into one entry.
const (
	MaxName        = 100  // characters of a name, a caption's line, an instrument
	MaxRemark      = 4000 // characters of a remark
	MaxStations    = 1000
	MaxPhotographs = 20
)

// Check refuses an entry that says too little, too much, or two things that
// contradict one another. The error is an *Error.
func (e *Entry) Check() error {
	if strings.TrimSpace(e.By) == "" {
		return fail("by", "say who puts this on record", "it is missing")
	}
	if err := short("by", e.By, MaxName); err != nil {
		return err
	}
	if err := e.checkSubject(); err != nil {
		return err
	}
	if len(e.Photographs) > MaxPhotographs {
		return fail("photographs", "put the others into a second entry", "%d of them, where an entry takes %d", len(e.Photographs), MaxPhotographs)
	}
	for k := range e.Photographs {
		if err := e.Photographs[k].check(); err != nil {
			return err
		}
	}
	return nil
}

func (e *Entry) checkSubject() error {
	switch {
	case e.Corrects < 0:
		return fail("corrects", "write the number of the entry that this one takes the place of", "%d is no number of an entry", e.Corrects)
	case e.Disposition != nil && e.Machining != nil:
		return fail("", "make two entries of it", "an entry is about one finding, or about the machining")
	case e.Disposition != nil:
		return e.Disposition.check()
	case e.Machining != nil:
		return e.Machining.check()
	default:
		return fail("", "say which finding, or what was measured after machining", "an entry is about a finding or about the machining")
	}
}

// Follows refuses an entry that corrects one which is not there, is about
// something else, or was corrected before.
func (e *Entry) Follows(entries []Entry) error {
	if e.Corrects == 0 {
		return nil
	}
	if by := corrections(entries)[e.Corrects]; by != 0 {
		return fail("corrects", "correct that one", "entry %d took the place of entry %d before", by, e.Corrects)
	}
	for k := range entries {
		if old := &entries[k]; old.Number == e.Corrects {
			if old.Kind() != e.Kind() {
				return fail("corrects", "only an entry of the same kind can take its place", "entry %d is a %s, this is a %s", e.Corrects, old.Kind(), e.Kind())
			}
			return nil
		}
	}
	return fail("corrects", "look at the entries first", "there is no entry %d", e.Corrects)
}

// check refuses what an inspector would send back.
func (d *Disposition) check() error {
	for _, err := range []error{
		oneOf("method", d.Method, Methods), oneOf("result", d.Result, Results), oneOf("decision", d.Decision, Decisions),
		short("remark", d.Remark, MaxRemark), d.Of.check(),
	} {
		if err != nil {
			return err
		}
	}
	looked, saw := d.Method != NoMethod, d.Result != NotInspected
	if looked && !saw {
		return fail("result", "say what it showed, or write method none", "it was inspected (%s), and it was not inspected", d.Method)
	}
	if !looked && saw {
		return fail("method", "say how it was inspected, or write result not inspected", "nothing was inspected, and yet there is a result: %s", d.Result)
	}
	if why := d.unusual(); why != "" && strings.TrimSpace(d.Remark) == "" {
		return fail("remark", "say why", "%s needs a remark", why)
	}
	return nil
}

// unusual tells what a person may decide, but not without a reason.
func (d *Disposition) unusual() string {
	switch {
	case d.Decision == Accept && d.Result == NotAcceptable:
		return "to accept an indication that is not acceptable"
	case d.Decision == Accept && d.Method == NoMethod:
		return "to accept what nobody inspected"
	case d.Decision == MachinedAway && d.Method == NoMethod:
		return "to say that the cut takes what nobody inspected"
	case d.Decision == Repair && d.Result == NoIndication:
		return "to repair where nothing was seen"
	case d.Decision == Repair && d.Result == Acceptable:
		return "to repair what is acceptable"
	default:
		return ""
	}
}

func (r *Reference) check() error {
	numbers := []float64{r.Worst, r.Limit}
	if r.Angle != nil {
		numbers = append(numbers, float64(*r.Angle))
	}
	if r.Depth != nil {
		numbers = append(numbers, float64(*r.Depth))
	}
	if r.Rule == "" || !finite(numbers...) {
		return fail("of", "name a finding of this record", "it is no finding")
	}
	if err := short("of.rule", string(r.Rule), MaxName); err != nil {
		return err
	}
	return short("of.sentence", r.Sentence, MaxRemark)
}

// check refuses a measurement that is none.
func (m *Machining) check() error {
	for _, err := range []error{
		short("instrument", m.Instrument, MaxName), short("where", m.Where, MaxRemark), short("remark", m.Remark, MaxRemark),
		oneOf("cleaned-up", m.CleanedUp, CleanUps), m.checkFigures(),
	} {
		if err != nil {
			return err
		}
	}
	if m.CleanedUp == NotAllRound && strings.TrimSpace(m.Where) == "" {
		return fail("where", "say at which angle and depth", "what did not clean up is missing")
	}
	if m.CleanedUp != NotAllRound && m.Where != "" {
		return fail("where", "write cleaned-up not all round, or leave it out", "it says what did not clean up, but not that something did not")
	}
	return nil
}

func (m *Machining) checkFigures() error {
	if n := len(m.Stations); n > MaxStations {
		return fail("stations", "measure fewer diameters", "%d of them, where an entry takes %d", n, MaxStations)
	}
	for k, s := range m.Stations {
		if !(s.Diameter > 0) || !finite(float64(s.Depth), float64(s.Angle), float64(s.Diameter)) {
			return fail("stations", "write depth, angle and diameter, and a diameter above zero", "station %d is no measured diameter", k+1)
		}
	}
	if len(m.Stations) > 0 && strings.TrimSpace(m.Instrument) == "" {
		return fail("instrument", "say what the diameters were measured with", "it is missing")
	}
	if u := m.Expanded; u != nil && (!(*u > 0) || !finite(float64(*u))) {
		return fail("uncertainty", "leave it out where it is not known", "it must be above zero")
	}
	return checkWanted(m.Wanted)
}

func checkWanted(w quantity.Range[quantity.Metres]) error {
	switch {
	case !finite(float64(w.Low), float64(w.High)), w.HasLow && !(w.Low > 0), w.HasHigh && !(w.High > 0):
		return fail("wanted", "write the limits of the drawing", "a diameter is above zero")
	case w.HasLow && w.HasHigh && w.Low > w.High:
		return fail("wanted", "write the lower one first", "the limits are reversed")
	}
	return nil
}

func (p *Photograph) check() error {
	if digest, err := hex.DecodeString(p.SHA256); err != nil || len(digest) != 32 || p.SHA256 != strings.ToLower(p.SHA256) {
		return fail("photographs.sha256", "write the SHA-256 of the picture", "%.80q is not 64 hexadecimal digits", p.SHA256)
	}
	if p.Size <= 0 {
		return fail("photographs.size", "take it again", "the picture is empty")
	}
	if !strings.HasPrefix(p.Type, "image/") {
		return fail("photographs.type", "add a picture, such as a .jpg or a .png", "%.80q is no picture", p.Type)
	}
	if err := short("photographs.type", p.Type, MaxName); err != nil {
		return err
	}
	return short("photographs.caption", p.Caption, MaxName)
}

// short refuses a text that is too long, or that no record can keep.
func short(field, text string, most int) error {
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return fail(field, "type it again", "it is not text in UTF-8")
	}
	if n := utf8.RuneCountInString(text); n > most {
		return fail(field, "say it in fewer words", "%d characters, where %d are the most", n, most)
	}
	return nil
}

func finite(numbers ...float64) bool {
	for _, x := range numbers {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
