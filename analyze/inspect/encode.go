package inspect

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"time"

	"arctally/acquire/foreign"
	"arctally/acquire/quantity"
)

// maxText is the most bytes that the text of an entry may have; all that the
// limits of Check let through is less.
const maxText = 1 << 20

// text is an entry as it stands in a record, beside its kind, time and name.
type text struct {
	Corrects    int            `json:"corrects,omitempty"`
	Disposition *Disposition   `json:"disposition,omitempty"`
	Machining   *machiningText `json:"machining,omitempty"`
	Photographs []Photograph   `json:"photographs,omitempty"`
}

type machiningText struct {
	Stations   []Station        `json:"stations"`
	Instrument string           `json:"instrument,omitempty"`
	Expanded   *quantity.Metres `json:"expanded_uncertainty_m"`
	Low        *quantity.Metres `json:"wanted_low_m"`
	High       *quantity.Metres `json:"wanted_high_m"`
	CleanedUp  CleanedUp        `json:"cleaned_up"`
	Where      string           `json:"where,omitempty"`
	Remark     string           `json:"remark,omitempty"`
}

// Encode checks the entry and returns the text of it for a record.
func (e *Entry) Encode() (string, error) {
	if err := e.Check(); err != nil {
		return "", err
	}
	t := text{Corrects: e.Corrects, Disposition: e.Disposition, Photographs: e.Photographs}
	if m := e.Machining; m != nil {
		t.Machining = &machiningText{
			Stations: append([]Station{}, m.Stations...), Instrument: m.Instrument, Expanded: m.Expanded,
			CleanedUp: m.CleanedUp, Where: m.Where, Remark: m.Remark,
		}
		if m.Wanted.HasLow {
			t.Machining.Low = &m.Wanted.Low
		}
		if m.Wanted.HasHigh {
			t.Machining.High = &m.Wanted.High
		}
	}
	b, err := json.Marshal(t)
	return string(b), err
}

// Decode is the reverse of Encode: number, kind, by and at stand beside the text
// in the record. It is strict: what it does not know, it refuses.
func Decode(number int, kind Kind, by string, at time.Time, from string) (Entry, error) {
	e := Entry{Number: number, At: at, By: by}
	if len(from) > maxText {
		return e, fail("", "", "%d bytes, where an entry has %d at most", len(from), maxText)
	}
	t, err := decode(from)
	if err != nil {
		return e, fail("", "a newer arctally may have written it", "%v", err)
	}
	e.Corrects, e.Disposition, e.Photographs = t.Corrects, t.Disposition, t.Photographs
	if m := t.Machining; m != nil {
		e.Machining = &Machining{
			Stations: m.Stations, Instrument: m.Instrument, Expanded: m.Expanded, Wanted: window(m.Low, m.High),
			CleanedUp: m.CleanedUp, Where: m.Where, Remark: m.Remark,
		}
	}
	if err := e.Check(); err != nil {
		return e, err
	}
	if e.Kind() != kind {
		return e, fail("kind", "a newer arctally may have written it", "%.80q stands beside the text of a %s", string(kind), e.Kind())
	}
	return e, nil
}

func decode(from string) (t text, err error) {
	if err := foreign.OneOfEach([]byte(from)); err != nil {
		return t, err
	}
	d := json.NewDecoder(bytes.NewReader([]byte(from)))
	d.DisallowUnknownFields()
	if err := d.Decode(&t); err != nil {
		return t, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return t, errors.New("something follows the entry")
	}
	return t, nil
}

func window(low, high *quantity.Metres) (r quantity.Range[quantity.Metres]) {
	if low != nil {
		r.Low, r.HasLow = *low, true
	}
	if high != nil {
		r.High, r.HasHigh = *high, true
	}
	return r
}
