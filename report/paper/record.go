package paper

import (
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"strings"

	"arctally/acquire/foreign"
	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

//go:embed template
var files embed.FS

var templates = template.Must(template.New("record.html").ParseFS(files, "template/*"))

// record is a sheet on its way to its readers, in their units.
type record struct {
	*sheet.Sheet
	units sheet.Units
	set   *sheet.UnitSet
	alone bool // the certificate is all that is written
	With
}

// With is what the weld record has beside its sheet; the zero value is nothing.
type With struct {
	Head  *Letterhead // nil is none
	Waves Waves       // nil shows none
	// Wanted returns an error as soon as nobody waits for the record any more, which is asked
	// between its sections; nil is that somebody always does.
	Wanted func() error
}

func recordOf(s *sheet.Sheet, u sheet.Units, with With) *record {
	return &record{Sheet: s.In(u), units: u, set: u.Set(), With: with}
}

// sections are the weld record, in its order; one that has nothing to say is left out.
func (r *record) sections() (sections []*section) {
	for _, one := range []*section{
		r.job(), r.window(), r.instruments(), r.planDone(), r.passes(), r.charts(), r.proof(), r.findings(), r.bore(),
		r.machining(), r.byAngle(), r.transfer(), r.shortCircuits(), r.typedIn(), r.methods(), r.restsOn(), r.cautions(), r.fingerprint(),
	} {
		if one != nil {
			sections = append(sections, one)
		}
	}
	return sections
}

// recordPage is what the template of the page is filled with.
type recordPage struct {
	Title, Mark string
	Across      string // over every sheet; empty is nothing
	Patterns    []template.HTML
	Certificate *certificate
	Sections    []*section
}

// HTML writes the weld record: one file that loads nothing, runs no script, and
// prints on A4 and Letter.
func (with With) HTML(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	r := recordOf(s, u, with)
	first := r.certificate()
	p := recordPage{
		Title: r.title(), Mark: foreign.Line(r.mark()), Across: r.across(), Patterns: draw.Patterns("hatch", "guard", "short", "unseen", "doubtful", "apart", "high"),
		Certificate: first, Sections: r.behind(first),
	}
	if err := writePage(w, "record.html", p); err != nil {
		return fmt.Errorf("write weld record: %w", err)
	}
	return nil
}

// writePage fills a template; what is hidden in words from outside is shown by its number.
func writePage(w io.Writer, name string, page any) error {
	shown := foreign.NewWriter(w)
	return errors.Join(templates.ExecuteTemplate(shown, name, page), shown.Flush())
}

// PDF writes the weld record on paper. The only date in the file is the end of the last pass.
func (with With) PDF(w io.Writer, s *sheet.Sheet, u sheet.Units, format layout.Format) error {
	return recordOf(s, u, with).writePDF(w, format)
}

// CertificatePDF writes the first sheet of PDF as a file of its own, with what it had no room for behind it.
func (with With) CertificatePDF(w io.Writer, s *sheet.Sheet, u sheet.Units, format layout.Format) error {
	r := recordOf(s, u, with)
	r.alone = true
	return r.writePDF(w, format)
}

func (r *record) writePDF(w io.Writer, format layout.Format) error {
	style, err := readStyle()
	if err != nil {
		return fmt.Errorf("write weld record: %w", err)
	}
	s := r.Sheet
	options := layout.Options{Format: format, Title: r.title(), Foot: sheet.OrDash(s.Job.Name) + "  ·  " + r.mark(), Across: r.across(), Style: style}
	if n := len(s.Passes); n > 0 {
		options.Made = s.Passes[n-1].Ended.Wall
	}
	d, first := layout.New(options), r.certificate()
	first.print(d)
	behind := r.behind(first)
	if len(behind) > 0 {
		d.NewPage()
	}
	wanted := r.Wanted
	if wanted == nil {
		wanted = func() error { return nil }
	}
	if err := printSections(d, behind, wanted); err != nil {
		return err
	}
	if err := d.Write(w); err != nil {
		return fmt.Errorf("write weld record: %w", err)
	}
	return nil
}

// behind are the sections behind the certificate: first what it had no room for.
func (r *record) behind(first *certificate) (sections []*section) {
	if !r.alone {
		sections = r.sections()
	}
	if full := r.inFull(first); full != nil {
		sections = append([]*section{full}, sections...)
	}
	return sections
}

// readStyle reads the looks of the drawings from the style sheet of the page.
func readStyle() (*draw.Style, error) {
	css, err := files.ReadFile("template/style.css")
	if err != nil {
		return nil, err
	}
	return draw.ParseStyle(string(css)), nil
}

func (r *record) title() string {
	kind := recordKind
	if r.alone {
		kind = certificateKind
	}
	return kind + ": " + sheet.OrDash(r.Job.Name)
}

// simulated stands across every sheet of what no arc was measured for.
const simulated = "SIMULATED - not a weld"

func (r *record) across() string {
	if r.Simulated {
		return simulated
	}
	return ""
}

// mark stands at the foot of every printed page, so that a loose page can be put back
// with its record.
func (r *record) mark() string {
	mark := sheet.OrDash(r.Record)
	if r.Fingerprint != "" {
		mark += "  " + strings.ToValidUTF8(r.Fingerprint[:min(len(r.Fingerprint), 16)], "")
	}
	return mark
}
