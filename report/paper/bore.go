package paper

import (
	"fmt"

	"arctally/analyze/bore"
	"arctally/analyze/event"
	"arctally/report/draw"
	"arctally/report/sheet"
)

// bore draws where to inspect, and says whether the bore will clean up.
func (r *record) bore() *section {
	s := &section{Heading: "The bore", Class: "wallmap", kept: 1}
	maps := draw.Maps(r.Sheet, r.units)
	for _, m := range maps {
		s.blocks = append(s.blocks, wallMap{m, joined(m.Note, "Hatched with grey lines: left unwelded. Numbered marks: events, black while open; thick lines: how far they went on.", m.Extra)})
	}
	switch {
	case r.Job.Deposit.Pattern == bore.Straight || r.Job.Bore.Length <= 0: // a bead on a plate has no angle
		s.blocks = append(s.blocks, sentence("This job has no bore to draw; the events stand in the list."))
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
		v.beside = []block{sentence("No event has a place to mark.")}
	} else {
		v.beside = []block{
			pinLegend(end.Keys),
			note("A number on a mark is the number of the event in the list. Black marks are open, white ones closed by a person. " +
				"The mark stands at the angle where the event began; a thick line is how far each of its findings went on."),
		}
	}
	for _, of := range []struct {
		name string
		is   func(e *sheet.Event) bool
	}{
		{"All of their passes, without an angle:", func(e *sheet.Event) bool { return e.Whole }},
		{"At many places:", func(e *sheet.Event) bool { return e.Spread }},
		{"Place not known:", func(e *sheet.Event) bool { return e.Place == nil && !e.Whole && !e.Spread }},
	} {
		if missing := r.named(of.is); missing != "" {
			v.beside = append(v.beside, lead{of.name, missing + "."})
		}
	}
	return v
}

// named names the events that have something in common; empty is none.
func (r *record) named(is func(e *sheet.Event) bool) string {
	var numbers []int
	for i := range r.Events {
		if is(&r.Events[i]) {
			numbers = append(numbers, r.Events[i].Number)
		}
	}
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		return "event " + event.Ranges(numbers)
	default:
		return "events " + event.Ranges(numbers)
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
