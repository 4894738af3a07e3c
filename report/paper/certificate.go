package paper

import (
	"fmt"
	"html/template"
	"strings"
	"unicode/utf8"

	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

// certificateKind is what the first sheet is.
const certificateKind = "Weld record, certificate"

// certificate is the first sheet, which a customer files: on one sheet whatever the job
// says. What is too long for it is shortened, and stands in full on the next one.
type certificate struct {
	Head         *Letterhead
	Glyph        *draw.Drawing
	Kind, Title  string
	Sign         *draw.Drawing
	Worst        string
	Sides        [2][]sheet.CertificateRow // side by side
	Rows, Record []sheet.CertificateRow
	Code         *draw.Drawing // of the head, which stands for all of the record; nil where none was taken
	Truths       []truthLine
	Notes        []string
	Signatures   signatures
	Shortened    []lead // in full
}

// truthLine is a truth with its sign.
type truthLine struct {
	Sign *draw.Drawing
	Text string
}

// shortest is so few columns that the widest letters fill no more than a line, and every
// sheet holds that many lines; longest leaves nearly everything as it is. Between them the
// most is taken with which the certificate fits both sizes of paper.
var columnsOfText = []int{420, 300, 210, 150, 105, 75, 55, 40}

// certificate returns the first sheet; page and paper have the same words.
func (r *record) certificate() *certificate {
	var c *certificate
	for _, columns := range columnsOfText {
		if c = r.certificateOf(columns); c.fits(layout.A4) && c.fits(layout.Letter) {
			break
		}
	}
	return c
}

func (c *certificate) fits(format layout.Format) bool {
	d := layout.New(layout.Options{Format: format})
	return d.Height(func() { c.printBody(d); c.printFoot(d) }) <= d.Body()
}

// certificateOf is one whose texts have at most so many columns.
func (r *record) certificateOf(columns int) *certificate {
	c := &certificate{Head: r.Head, Glyph: draw.Glyph(r.Sheet), Kind: certificateKind, Signatures: roles}
	whole := r.Certificate(r.units)
	short := func(name, text string) string {
		text = strings.Join(strings.Fields(text), " ") // a new line would take a line that is not counted
		cut, some := shortened(text, columns)
		if some {
			c.Shortened = append(c.Shortened, lead{name + ":", text})
		}
		return cut
	}
	c.Title = short("Title", sheet.OrDash(r.Job.Name))
	for k := range whole.Truths {
		t := &whole.Truths[k]
		text := short("Truth about the "+string(t.Kind), t.Words)
		if k == 0 {
			c.Sign, c.Worst = draw.Sign(t.Sign), text
		} else {
			c.Truths = append(c.Truths, truthLine{draw.Sign(t.Sign), text})
		}
	}
	cut := func(rows []sheet.CertificateRow) (cut []sheet.CertificateRow) {
		for _, row := range rows {
			cut = append(cut, sheet.CertificateRow{Name: row.Name, Text: short(row.Name, row.Text)})
		}
		return cut
	}
	c.Sides, c.Rows = [2][]sheet.CertificateRow{cut(whole.Whose), cut(whole.What)}, cut(whole.Rows)
	if r.Fingerprint != "" {
		c.Code = draw.Code(sheet.HeadText(r.Fingerprint), "QR code of the head: "+sheet.HeadText(r.Fingerprint))
	}
	c.Record = cut([]sheet.CertificateRow{
		{Name: "Record", Text: r.recordText()},
		{Name: "Fingerprint of the record", Text: r.fingerprintText()},
		{Name: "Names typed in", Text: fmt.Sprintf("operator %s; inspector %s. A name that was typed is no signature.",
			sheet.OrDash(r.Job.People.Operator), sheet.OrDash(r.Job.People.Inspector))},
	})
	if len(c.Shortened) > 0 {
		c.Notes = append(c.Notes, shortenedMark+" shortened here, in full on the next sheet.")
	}
	where := "follow."
	if r.alone {
		where = "stand in the weld record that goes with it."
	}
	c.Notes = append(c.Notes, shortCaution+where)
	return c
}

// shortCaution is what whoever files the sheet must not take it for, and ends with where the rest is.
const shortCaution = "This sheet says what is on record, and accepts nothing: only a person does. Nothing is proved but what is called proved. No conformity to a clause of " +
	"a standard is claimed; local codes, the qualified procedure and licensed practice rule. The detail and the dangers of the work (Cautions) "

var roles = signatures{"Operator", "Inspector", "Engineer"}

// recordText names the record, and when the sheet was made where that was handed in.
func (r *record) recordText() string {
	if r.Made.IsZero() {
		return sheet.OrDash(r.Sheet.Record)
	}
	return sheet.OrDash(r.Sheet.Record) + ", made " + sheet.Minute(r.Made)
}

func (r *record) fingerprintText() string {
	if r.Fingerprint == "" {
		return "none was taken, so nothing ties this sheet to the file"
	}
	return r.Fingerprint + " (SHA-256 over its content, the head of its chain: arctally verify RECORD --head takes it, or what the code says)"
}

// shortenedMark ends what was shortened.
const shortenedMark = "...*"

// shortened cuts a text to a number of columns as it is printed, at the end of a word where
// that does not cost much.
func shortened(text string, columns int) (string, bool) {
	if columnsOf(text) <= columns {
		return text, false
	}
	runes := []rune(text)
	low, high := 0, len(runes)
	for low < high {
		if mid := (low + high + 1) / 2; columnsOf(string(runes[:mid]))+len(shortenedMark)+1 <= columns {
			low = mid
		} else {
			high = mid - 1
		}
	}
	cut := strings.TrimSpace(string(runes[:low]))
	if space := strings.LastIndexByte(cut, ' '); space > len(cut)*3/4 {
		cut = cut[:space]
	}
	return cut + " " + shortenedMark, true
}

// columnsOf is how wide a text is printed, in letters; what is not Latin, Greek or Cyrillic
// has the width of two.
func columnsOf(text string) int {
	shown := layout.Shown(text)
	columns := utf8.RuneCountInString(shown)
	for _, r := range shown {
		if r >= 0x1100 {
			columns++
		}
	}
	return columns
}

// The room for the names of rows, mm: of those side by side, and of the others.
const (
	narrowLabels = 31.0
	wideLabels   = 42.0
)

func (c *certificate) print(d *layout.Document) {
	c.printBody(d)
	d.AtBottom(func() { c.printFoot(d) })
}

func (c *certificate) printBody(d *layout.Document) {
	if c.Head != nil {
		c.Head.print(d)
	}
	if c.Code == nil {
		c.printTitle(d)
	} else {
		d.LeftOf(c.Code, codeWidth, codeEdge, func() { c.printTitle(d) })
	}
	d.Space(2)
	d.Headline(c.Sign, c.Worst)
	d.Columns(func() { d.Rows(factsOf(c.Sides[0]), narrowLabels) }, func() { d.Rows(factsOf(c.Sides[1]), narrowLabels) })
	d.Rows(factsOf(c.Rows), wideLabels)
	for _, t := range c.Truths {
		d.Marked(t.Sign, t.Text)
	}
	d.Space(1.5)
	d.Rows(factsOf(c.Record), wideLabels)
}

// How the code of the head stands on paper, mm: half a millimetre to a module, which a telephone
// reads from a copy too; without its edge it is no higher than the picture of the bore at the other
// side of the title, so that it takes no room from what is written. Common practice, no source.
const (
	codeModule = 0.5
	codeWidth  = 41 * codeModule
	codeEdge   = draw.QuietZone * codeModule
)

// printTitle writes what the sheet is and of which job, with the code of the head at its right.
func (c *certificate) printTitle(d *layout.Document) {
	d.Beside(c.Glyph, glyphWidth, func() {
		d.Kind(c.Kind)
		d.Paragraph(c.Title, layout.Look{Size: 16, Bold: true})
	})
}

// glyphWidth is how wide the picture of the bore stands on paper, mm.
const glyphWidth = 17.0

func (c *certificate) printFoot(d *layout.Document) {
	for _, note := range c.Notes {
		d.Small(note)
	}
	d.Signatures(c.Signatures, signed)
}

func factsOf(rows []sheet.CertificateRow) (facts []layout.Fact) {
	for _, row := range rows {
		facts = append(facts, layout.Fact{Label: row.Name, Value: row.Text})
	}
	return facts
}

// SignHere renders the lines to sign on, for the page.
func (c *certificate) SignHere() (template.HTML, error) { return render(c.Signatures) }

// inFull is what the certificate had no room for, nil where it had.
func (r *record) inFull(c *certificate) *section {
	if len(c.Shortened) == 0 {
		return nil
	}
	return &section{Heading: "Shortened on the certificate, in full", blocks: []block{leads(c.Shortened)}}
}
