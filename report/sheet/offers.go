package sheet

import (
	"io"
	"time"

	"arctally/acquire/calib"
)

// OfferList is what may be taken over into a record of checks that were made for others
// with the same box; the object of "check take-over --json".
type OfferList struct {
	Record  string    `json:"record"`
	Offers  []Offer   `json:"offers"`
	Refused []Refusal `json:"refused"`
}

// Offer is a check of another record that may be taken over.
type Offer struct {
	From   string       `json:"from"`   // name of the record's file
	Number int          `json:"number"` // of the check there
	Age    float64      `json:"age_s"`  // since it was made
	Check  *calib.Check `json:"check"`
}

// Made says when and with which box an offered check was made, and by whom.
func (o Offer) Made() string {
	return "made " + Age(time.Duration(o.Age*float64(time.Second))) + " before by " + o.Check.By + ", with " + Which(o.Check)
}

// Refusal is what is not offered, and why.
type Refusal struct {
	From   string `json:"from"`
	Number int    `json:"number"` // 0 is all of the record
	Title  string `json:"title"`  // of the check; empty is all of the record
	Why    string `json:"why"`
}

// OffersJSON writes the list as JSON, in full precision.
func OffersJSON(w io.Writer, l OfferList) error {
	if l.Offers == nil {
		l.Offers = []Offer{}
	}
	if l.Refused == nil {
		l.Refused = []Refusal{}
	}
	return writeJSON(w, l)
}
