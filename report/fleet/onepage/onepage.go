// Package onepage knows how all jobs look in one picture: one HTML file that loads nothing,
// with the control charts drawn and the other answers of a fleet as tables. Each number
// leads to the review that it comes from, where the address of a serve is handed in.
//
// Terms. A frame is the place of one chart in its drawing; what lies outside the limits has
// another shape as well as another colour.
//
// Errors: only those of the writer, wrapped once.
package onepage

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"arctally/acquire/foreign"
	"arctally/report/fleet"
	"arctally/report/sheet"
)

// Answers are all that the picture shows.
type Answers struct {
	HeatInput, ArcOn *fleet.Charts
	Proved           *fleet.Proved
	Open             *fleet.OpenEvents
	Due              *fleet.Due
	Changes          *fleet.Changes
	// At is the address of the serve that has the records; empty leaves the links out.
	At string
}

//go:embed page.html
var page string

var words = template.FuncMap{
	"line":    foreign.Line,
	"known":   func(s *string) string { return textOr(s, "not known") },
	"dash":    func(s *string) string { return textOr(s, sheet.Dash) },
	"spaced":  sheet.Spaced,
	"digits":  sheet.Digits,
	"one":     func(v *float64) string { return sheet.Digits(v, 1) },
	"percent": percent,
	"day":     func(at string) string { return at[:min(10, len(at))] },
	"count":   count,
	"claim":   func() string { return sheet.NoClause },
	"draw":    draw,
	"many":    func(n int64, one, several string) string { return sheet.Plural(int(n), one, several) },
	"window":  window,
}

var pages = template.Must(template.New("page").Funcs(words).Parse(page))

// Write writes the page; the same answers give the same bytes.
func Write(w io.Writer, a Answers) error {
	if err := pages.Execute(w, a); err != nil {
		return fmt.Errorf("write the picture: %w", err)
	}
	return nil
}

// Kinds are the charts, with what they are called.
func (a Answers) Kinds() []Kind {
	return []Kind{{"Heat input, kJ/mm", a.HeatInput, a.At}, {"Arc-on ratio", a.ArcOn, a.At}}
}

// Kind is the charts of one measure.
type Kind struct {
	Title string
	*fleet.Charts
	At string
}

// Link is the address of a review, empty where nobody serves it.
func (a Answers) Link(p fleet.Place) template.URL { return link(a.At, p) }

func link(at string, p fleet.Place) template.URL {
	if at == "" || strings.Contains(p.Record, "/") {
		return "" // a bundle is a folder of its own, which that serve does not show
	}
	return template.URL(strings.TrimRight(at, "/") + "/" + p.Review) // at is an address of the web: who hands it in has looked
}

func textOr(s *string, or string) string {
	if s == nil {
		return or
	}
	return foreign.Line(*s)
}

func percent(share *float64) string {
	if share == nil {
		return sheet.Dash
	}
	return sheet.Digits(new(100**share), 1)
}

func count(n *int) string {
	if n == nil {
		return sheet.Dash
	}
	return fmt.Sprint(*n)
}

func window(p fleet.Procedure) string {
	if p.WindowLow == nil && p.WindowHigh == nil {
		return "no window"
	}
	return sheet.Digits(p.WindowLow, 3) + ".." + sheet.Digits(p.WindowHigh, 3) + " kJ/mm"
}

// placed is a place with the page that it stands on.
type placed struct {
	Root  Answers
	Place fleet.Place
}

// Of is a place for the template that shows one.
func (a Answers) Of(p fleet.Place) any { return placed{a, p} }
