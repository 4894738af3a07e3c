package paper

import (
	"encoding/base64"
	"html/template"

	"arctally/report/paper/layout"
)

// Letterhead is whose paper it is: a picture, lines of an address, or both.
type Letterhead struct {
	Logo  *layout.Logo // nil is none
	Lines []string
}

func (l *Letterhead) print(d *layout.Document) { d.Letterhead(l.Logo, l.Lines) }

// Shown renders it for the page.
func (l *Letterhead) Shown() (template.HTML, error) { return render(l) }

func (*Letterhead) kind() string { return "letterhead" }

// Source is the picture in the page itself; empty is none.
func (l *Letterhead) Source() template.URL {
	if l.Logo == nil {
		return ""
	}
	// The media type is one, and base64 has no character that means anything here.
	return template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(l.Logo.Content))
}
