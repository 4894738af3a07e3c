package text

import (
	"io"

	"arctally/report/sheet"
)

// Offers writes what may be taken over into a record, and what not and why.
func Offers(w io.Writer, l sheet.OfferList, u sheet.Units) error {
	var p page
	p.printf("checks that may be taken over into %s:\n", l.Record)
	for _, o := range l.Offers {
		p.printf("%s check %d: %s, %s\n", o.From, o.Number, o.Check.Title(), o.Made())
		p.indented(checkWidth, u.Check(o.Check).Sentence)
	}
	if len(l.Offers) == 0 {
		p.lines("none")
	}
	if len(l.Refused) > 0 {
		p.printf("\nnot offered:\n")
	}
	for _, r := range l.Refused {
		if r.Number == 0 {
			p.printf("%s: %s\n", r.From, r.Why)
			continue
		}
		p.printf("%s check %d, %s: %s\n", r.From, r.Number, r.Title, r.Why)
	}
	return p.writeTo(w, "offers")
}
