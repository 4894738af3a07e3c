package fleet

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"time"

	"arctally/acquire/calib"
	"arctally/acquire/foreign"
	"arctally/report/sheet"
)

// Results are what is known of one record in one state, as its JSON has it. A field that
// this program does not know is left alone: a later one may have written it.
type Results struct {
	Record     string `json:"record"`
	Job        string `json:"job"`
	Procedure  string `json:"procedure"`
	Definition string `json:"definition"`
	Rule       string `json:"decision_rule"`
	State      struct {
		Head    string `json:"head"`
		Begins  string `json:"begins"`
		Groups  *int64 `json:"groups"`
		Created string `json:"created"`
	} `json:"state"`
	People struct {
		Operator  string `json:"operator"`
		Inspector string `json:"inspector"`
	} `json:"people"`
	ArcBox    string `json:"arc_box"`
	Simulated *bool  `json:"simulated"`
	Window    struct {
		Low  *float64 `json:"low_kj_per_mm"`
		High *float64 `json:"high_kj_per_mm"`
	} `json:"window"`
	Proof        []Proof             `json:"proof"`
	Calibrations []calib.Calibration `json:"instruments"`
	Passes       []sheet.PassRow     `json:"passes"`
	Checks       []*calib.Check      `json:"checks"`
	Findings     []sheet.FindingRow  `json:"findings"`
	Causes       []sheet.EventRow    `json:"causes"`
	Sources      []Source            `json:"sources"`
}

// Proof says whether a pass is proved, and the kinds of what bars it.
type Proof struct {
	Pass   int      `json:"pass"`
	Proved bool     `json:"proved"`
	Barred []string `json:"barred_by"`
}

// Source is a box that spoke in a record.
type Source struct {
	Name        string `json:"name"`
	Serial      string `json:"serial"`
	Firmware    string `json:"firmware"`
	Link        string `json:"link"`
	Unprotected bool   `json:"unprotected"`
}

// mostBytes bounds what is read of one record's results.
const mostBytes = 256 << 20

// Read reads results. Where they do not say of which state they are, as those of a program
// older than that question do not, head does: the digest that the bundle is named by. Name
// is what errors call them.
func Read(name string, from io.Reader, head string) (*Results, error) {
	text, err := io.ReadAll(io.LimitReader(from, mostBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(text) > mostBytes {
		return nil, &ResultsError{Name: name, Text: fmt.Sprintf("larger than %d MB", mostBytes>>20)}
	}
	r, err := decode(text)
	if err != nil {
		return nil, &ResultsError{Name: name, Text: "no results of a record", Cause: err}
	}
	if head != "" && r.State.Head != "" && r.State.Head != head {
		return nil, &ResultsError{Name: name, Field: "state.head", Text: "these are the results of another state than the name of the bundle says"}
	}
	if r.State.Head == "" {
		r.State.Head = head
	}
	if field, text := r.wrong(); text != "" {
		return nil, &ResultsError{Name: name, Field: field, Text: text}
	}
	return r, nil
}

func decode(text []byte) (*Results, error) {
	if err := foreign.OneOfEach(text); err != nil {
		return nil, err
	}
	r := new(Results)
	decoder := json.NewDecoder(bytes.NewReader(text))
	if err := decoder.Decode(r); err != nil {
		return nil, err
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something follows them")
	}
	return r, nil
}

// wrong says what keeps results from being taken, nothing where nothing does.
func (r *Results) wrong() (field, text string) {
	switch {
	case !isDigest(r.State.Head):
		return "state.head", "not known of which state of the record they are"
	case r.State.Begins != "" && !isDigest(r.State.Begins):
		return "state.begins", "no SHA-256 in hexadecimal digits"
	case r.Record == "":
		return "record", "the record has no name"
	case r.State.Groups != nil && *r.State.Groups < 1:
		return "state.groups", "a record has one at least"
	}
	for _, numbers := range []struct {
		field string
		of    []int
	}{
		{"passes", numbersOf(r.Passes, func(p *sheet.PassRow) int { return p.Number })},
		{"findings", numbersOf(r.Findings, func(f *sheet.FindingRow) int { return f.Number })},
		{"causes", numbersOf(r.Causes, func(c *sheet.EventRow) int { return c.Number })},
		{"proof", numbersOf(r.Proof, func(p *Proof) int { return p.Pass })},
	} {
		if number, twice := repeated(numbers.of); twice {
			return numbers.field, fmt.Sprintf("number %d stands there twice, or is none", number)
		}
	}
	return r.wrongTimes()
}

// wrongTimes finds a moment that is none.
func (r *Results) wrongTimes() (field, text string) {
	times := map[string]*string{"state.created": &r.State.Created}
	for k := range r.Passes {
		times[fmt.Sprintf("passes[%d].start", k)], times[fmt.Sprintf("passes[%d].end", k)] = r.Passes[k].Start, r.Passes[k].End
	}
	for k := range r.Findings {
		times[fmt.Sprintf("findings[%d].start", k)] = r.Findings[k].Start
	}
	for k := range r.Causes {
		times[fmt.Sprintf("causes[%d].start", k)] = r.Causes[k].Start
	}
	for field, t := range times {
		if t == nil || *t == "" {
			continue
		}
		if _, err := time.Parse(time.RFC3339Nano, *t); err != nil {
			return field, "no moment after RFC 3339"
		}
	}
	return "", ""
}

func numbersOf[T any](rows []T, number func(*T) int) (all []int) {
	for k := range rows {
		all = append(all, number(&rows[k]))
	}
	return all
}

func repeated(numbers []int) (number int, twice bool) {
	seen := make(map[int]bool, len(numbers))
	for _, n := range numbers {
		if n < 1 || seen[n] {
			return n, true
		}
		seen[n] = true
	}
	return 0, false
}

func isDigest(text string) bool {
	b, err := hex.DecodeString(text)
	return err == nil && len(b) == 32 && hex.EncodeToString(b) == text
}

// begins tells records apart: where it is not known with what a record begins, each state is
// a record of its own.
func (r *Results) begins() string {
	if r.State.Begins != "" && r.State.Groups != nil {
		return r.State.Begins
	}
	return r.State.Head
}
