package paper

import (
	"html/template"
	"strings"

	"arctally/report/paper/layout"
)

// section is a heading with what stands below it.
type section struct {
	Heading string
	Class   string // on the page
	blocks  []block
	kept    int  // blocks that stay on one sheet of paper with the heading
	framed  bool // on paper
}

// block is one thing that both renderers show.
type block interface {
	// print writes it on paper.
	print(d *layout.Document)
	// kind names its template for the page.
	kind() string
}

// flowing is a block of which the first part can be kept with what stands above it.
type flowing interface {
	block
	printFirst(d *layout.Document)
	printRest(d *layout.Document)
}

// Blocks renders what stands below the heading, for the page.
func (s *section) Blocks() (template.HTML, error) { return render(s.blocks...) }

// render renders blocks for the page.
func render(blocks ...block) (template.HTML, error) {
	var b strings.Builder
	for _, one := range blocks {
		if alone, ok := one.(onPage); ok {
			one = alone.block
		}
		if err := templates.ExecuteTemplate(&b, one.kind(), one); err != nil {
			return "", err
		}
	}
	return template.HTML(b.String()), nil // the template of each block has escaped what it holds
}

// printSections writes sections on paper, as long as somebody wants them.
func printSections(d *layout.Document, sections []*section, wanted func() error) error {
	for _, one := range sections {
		if err := wanted(); err != nil {
			return err
		}
		one.print(d)
	}
	return nil
}

func (s *section) print(d *layout.Document) {
	if s.framed {
		d.Space(4)
		d.Framed(func() {
			d.Paragraph(s.Heading, layout.Look{Size: 14.5, Bold: true})
			printAll(d, s.blocks)
		})
		return
	}
	if s.kept == 0 {
		d.Heading(s.Heading)
		printAll(d, s.blocks)
		return
	}
	first, rest := s.blocks[:s.kept-1], s.blocks[s.kept:]
	last := s.blocks[s.kept-1]
	flows, splits := last.(flowing)
	d.Keep(func() {
		d.Heading(s.Heading)
		printAll(d, first)
		if splits {
			flows.printFirst(d)
		} else {
			last.print(d)
		}
	})
	if splits {
		flows.printRest(d)
	}
	printAll(d, rest)
}

func printAll(d *layout.Document, blocks []block) {
	for _, one := range blocks {
		one.print(d)
	}
}

// all is for a section that stays on one sheet.
func (s *section) all() *section {
	s.kept = len(s.blocks)
	return s
}

// onPage is a block that the page alone shows, and onPaper one that the paper alone
// shows: the same words may stand in another place.
type (
	onPage  struct{ block }
	onPaper struct{ block }
)

func (onPage) print(*layout.Document) {}

func (onPaper) kind() string { return "nothing" }

// group is kept on one sheet of paper.
type group []block

func (group) kind() string                    { return "group" }
func (g group) print(d *layout.Document)      { d.Keep(func() { printAll(d, g) }) }
func (g group) printFirst(d *layout.Document) { printAll(d, g) }
func (group) printRest(*layout.Document)      {}

// Blocks renders what is kept together, for the page.
func (g group) Blocks() (template.HTML, error) { return render(g...) }
