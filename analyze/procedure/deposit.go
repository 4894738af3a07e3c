package procedure

import (
	"go.yaml.in/yaml/v3"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

func readBore(job section) (b bore.Bore) {
	s, ok := job.sub("bore", "worn_diameter", "finish_diameter", "weld_to_diameter", "length", "axis")
	if !ok {
		return b
	}
	s.need("worn_diameter", "length")
	b.WornDiameter = positive[quantity.Metres](s, "worn_diameter")
	b.FinishDiameter = positive[quantity.Metres](s, "finish_diameter")
	b.WeldToDiameter = positive[quantity.Metres](s, "weld_to_diameter")
	b.Length = positive[quantity.Metres](s, "length")
	b.Axis = axis(s)
	notWider(s, "finish_diameter", b.FinishDiameter, "worn_diameter", b.WornDiameter)
	notWider(s, "weld_to_diameter", b.WeldToDiameter, "finish_diameter", b.FinishDiameter)
	notWider(s, "weld_to_diameter", b.WeldToDiameter, "worn_diameter", b.WornDiameter)
	return b
}

// notWider notes a bore that would grow by being welded: metal goes onto the
// wall, and is left to machine.
func notWider(s section, key string, diameter quantity.Metres, widerKey string, wider quantity.Metres) {
	if diameter > 0 && wider > 0 && diameter > wider {
		s.doc.fail(s.values[key], "%s is more than %s: %s over %s",
			s.path(key), s.path(widerKey), s.values[key].Value, s.values[widerKey].Value)
	}
}

// axis returns how the bore lies: a word, or its angle from the horizontal.
func axis(s section) string {
	n := s.scalar("axis")
	if n == nil || n.Value == "horizontal" || n.Value == "vertical" {
		return s.text("axis")
	}
	angle, err := quantity.Parse[quantity.Degrees](n.Value)
	if err != nil {
		s.doc.fail(n, "%s cannot be %q; write horizontal, vertical or an angle in deg", s.path("axis"), n.Value)
		return n.Value
	}
	doubt(s, "axis", angle, n)
	return n.Value
}

var patterns = []string{
	string(bore.Helix), string(bore.Rings), string(bore.SegmentReversing),
	string(bore.SegmentOneWay), string(bore.Straight),
}

func readDeposit(job section) (p bore.Deposit) {
	s, ok := job.sub("deposit", "pattern", "pitch", "wire_diameter", "efficiency", "length", "gaps")
	if !ok {
		return p
	}
	s.need("pattern")
	p.Pattern = bore.Pattern(s.choice("pattern", patterns...))
	p.Pitch = positive[quantity.Metres](s, "pitch")
	p.WireDiameter = positive[quantity.Metres](s, "wire_diameter")
	p.Efficiency = efficiency(s)
	p.Length = positive[quantity.Metres](s, "length")
	switch p.Pattern {
	case "":
	case bore.Straight:
		s.exclude("gaps", "a straight bead has no gaps")
	default:
		s.need("pitch")
		s.exclude("length", "the length of a bead follows from the bore; only a straight one is declared")
	}
	p.Gaps = readGaps(s)
	return p
}

// exclude notes a key that the rest of the section leaves no sense for.
func (s section) exclude(key, why string) {
	if n := s.values[key]; n != nil {
		s.doc.fail(n, "%s: %s", s.path(key), why)
	}
}

func efficiency(s section) quantity.Ratio {
	share, n := value[quantity.Ratio](s, "efficiency")
	if n == nil {
		return bore.DefaultEfficiency
	}
	if share <= 0 || share > 1 {
		s.doc.fail(n, "%s must be above 0 and at most 100 %%, not %s", s.path("efficiency"), n.Value)
	}
	return share
}

// angle returns an angle on the clock face of the bore, from 0 to below 360 deg,
// and the node it stands at.
func angle(s section, key string) (quantity.Degrees, *yaml.Node) {
	a, n := value[quantity.Degrees](s, key)
	if n != nil && (a < 0 || a >= 360) {
		s.doc.fail(n, "%s must be from 0 to below 360 deg, not %s", s.path(key), n.Value)
		return 0, nil
	}
	return a, n
}

// writtenGap is a gap and where it is written.
type writtenGap struct {
	bore.Gap
	at *yaml.Node
}

func readGaps(deposit section) []bore.Gap {
	var written []writtenGap
	for _, n := range deposit.list("gaps") {
		if gap, ok := readGap(deposit.doc, n); ok {
			written = append(written, writtenGap{gap, n})
		}
	}
	noOverlap(deposit, written)
	left := quantity.Degrees(360)
	var gaps []bore.Gap
	for _, gap := range written {
		gaps = append(gaps, gap.Gap)
		left -= gap.Width()
	}
	if left <= 0 {
		deposit.doc.fail(deposit.values["gaps"], "%s leave nothing to weld", deposit.path("gaps"))
	}
	return gaps
}

func readGap(d *document, n *yaml.Node) (gap bore.Gap, ok bool) {
	s := d.section(n, "gap", "from", "to")
	s.need("from", "to")
	var from, to *yaml.Node
	gap.From, from = angle(s, "from")
	gap.To, to = value[quantity.Degrees](s, "to")
	if to != nil && (gap.To < 0 || gap.To > 360) { // up to the reference mark may be written as 360
		d.fail(to, "%s must be from 0 to 360 deg, not %s", s.path("to"), to.Value)
		return bore.Gap{}, false
	}
	if from == nil || to == nil {
		return bore.Gap{}, false
	}
	switch {
	case gap.From == gap.To:
		d.fail(n, "gap %s has no width", gapText(gap))
		return bore.Gap{}, false
	case gap.Width() == 0: // all the way round
		d.fail(n, "gap %s leaves nothing to weld", gapText(gap))
		return bore.Gap{}, false
	}
	return gap, true
}

// noOverlap notes each pair of gaps that share an angle.
func noOverlap(s section, gaps []writtenGap) {
	for i, second := range gaps {
		for _, first := range gaps[:i] {
			if first.Contains(second.From) || second.Contains(first.From) {
				s.doc.fail(second.at, "gap %s overlaps gap %s at %d:%d",
					gapText(second.Gap), gapText(first.Gap), first.at.Line, first.at.Column)
			}
		}
	}
}

func gapText(g bore.Gap) string {
	return quantity.Text(g.From, "deg", -1) + " to " + quantity.Text(g.To, "deg", -1)
}
