package paper

import (
	"arctally/report/draw"
	"arctally/report/paper/layout"
)

// The blocks of one sentence.
type (
	sentence   string
	strong     string
	note       string
	subheading string
	digest     string // in a type that tells every letter
)

func (sentence) kind() string   { return "sentence" }
func (strong) kind() string     { return "strong" }
func (note) kind() string       { return "note" }
func (subheading) kind() string { return "subheading" }
func (digest) kind() string     { return "digest" }

func (t sentence) print(d *layout.Document)   { d.Text(string(t)) }
func (t strong) print(d *layout.Document)     { d.Strong(string(t)) }
func (t note) print(d *layout.Document)       { d.Small(string(t)) }
func (t subheading) print(d *layout.Document) { d.Subheading(string(t)) }
func (t digest) print(d *layout.Document)     { d.Paragraph(string(t), layout.Look{Size: 9, Mono: true}) }

// headline is the most important sentence of a section, with its sign.
type headline struct {
	Sign *draw.Drawing
	Text string
}

func (headline) kind() string               { return "headline" }
func (h headline) print(d *layout.Document) { d.Headline(h.Sign, h.Text) }

// lead is a sentence that begins with words in bold.
type lead struct{ Head, Text string }

func (lead) kind() string               { return "lead" }
func (l lead) print(d *layout.Document) { d.Strong(l.Head + " " + l.Text) }

// bullets is a list; none of them is no list.
type bullets struct {
	Class string // on the page
	Items []string
}

func (bullets) kind() string               { return "bullets" }
func (b bullets) print(d *layout.Document) { d.List(b.Items) }

// bulletsUnder is a list with a heading of its own, nothing where the list is empty.
func bulletsUnder(heading string, items []string) []block {
	if len(items) == 0 {
		return nil
	}
	return []block{subheading(heading), bullets{Items: items}}
}

// places is a list of places under its head.
type places struct {
	Head  string
	Lines []string
}

func (places) kind() string { return "places" }

func (p places) print(d *layout.Document) {
	d.Keep(func() {
		d.Text(p.Head)
		d.List(p.Lines[:1])
	})
	d.List(p.Lines[1:])
}

// leads are sentences that begin with words in bold.
type leads []lead

func (leads) kind() string { return "leads" }

func (l leads) print(d *layout.Document) {
	for _, one := range l {
		d.Lead(one.Head, one.Text)
	}
}
