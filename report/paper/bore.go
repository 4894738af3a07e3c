package paper

import (
	"fmt"
	"strconv"
	"strings"

	"arctally/analyze/bore"
	"arctally/report/draw"
)

// bore draws where to inspect, and says whether the bore will clean up.
func (r *record) bore() *section {
	s := &section{Heading: "The bore", Class: "wallmap", kept: 1}
	maps := draw.Maps(r.Sheet, r.units)
	for _, m := range maps {
		s.blocks = append(s.blocks, wallMap{m, joined(m.Note, "Hatched with grey lines: left unwelded. Numbered marks: findings, black while open.", m.Extra)})
	}
	switch {
	case r.Job.Deposit.Pattern == bore.Straight || r.Job.Bore.Length <= 0: // a bead on a plate has no angle
		s.blocks = append(s.blocks, sentence("This job has no bore to draw; the findings stand in the list."))
	case len(maps) > 0:
		s.blocks = append(s.blocks, r.endView())
	default:
		wall := draw.Wall(r.Sheet, r.units)
		end := r.endView()
		end.Flat = &flatWall{wall, joined("The wall unrolled: angle across, depth down. Thin lines: the bead as planned.", wall.Extra)}
		s.blocks = append(s.blocks, onPaper{*end.Flat}, end)
	}
	s.blocks = append(s.blocks, r.cleanUp()...)
	return s
}

func (r *record) endView() *endView {
	end := draw.End(r.Sheet)
	v := &endView{Figure: end, Note: joined("End view from the torch side, 0° at the reference mark. Dashed: finish diameter. Hatched: left unwelded. "+
		"Deposit drawn thicker than it is.", end.Extra)}
	if len(end.Keys) == 0 {
		v.beside = []block{sentence("No finding has a place to mark.")}
	} else {
		v.beside = []block{
			pinLegend(end.Keys),
			note("A number on a mark is the number of the finding in the list. Black marks are open, white ones closed by a person. " +
				"The mark stands where the finding began, or beside it with a line to the place."),
		}
	}
	if missing := r.unplaced(); missing != "" {
		v.beside = append(v.beside, lead{"Place not known:", missing + "."})
	}
	return v
}

// unplaced names the findings whose place is not known.
func (r *record) unplaced() string {
	var numbers []string
	for i := range r.Findings {
		if r.Findings[i].Place == nil {
			numbers = append(numbers, strconv.Itoa(r.Findings[i].Number))
		}
	}
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		return "finding " + numbers[0]
	default:
		return "findings " + strings.Join(numbers, ", ")
	}
}

func (r *record) cleanUp() []block {
	if r.Wall == nil {
		return nil
	}
	clean := r.CleanUp(bore.DefaultEccentricity, r.units)
	blocks := []block{subheading("Will it clean up"), strong(clean.Answer)}
	for _, p := range clean.Places {
		lines := p.Lines
		if p.More > 0 {
			lines = append(lines, fmt.Sprintf("and at %d more places; all are in the JSON of the map", p.More))
		}
		blocks = append(blocks, places{p.Head, lines})
	}
	return append(blocks, bullets{"small", clean.Cautions})
}
