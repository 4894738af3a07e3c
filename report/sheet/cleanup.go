package sheet

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// CleanUpLines say whether the bore will clean up, where metal is missing, and
// what the answer rests on. The first line is the answer.
func CleanUpLines(c bore.CleanUp, u Units) (answer string, missing, unseen []string) {
	set := u.Set()
	fine := func(q quantity.Metres) string { return quantity.Text(q, set.Bore, set.BoreDigits) }
	depth := func(q quantity.Metres) string { return quantity.Text(q, set.Length, set.DepthDigits) }
	switch c.Answer {
	case "":
		return "Whether it will clean up is not known: " + c.Why + ".", nil, nil
	case bore.Enough:
		answer = "By calculation there is enough metal all round to clean up"
	case bore.NotSeen:
		answer = "By calculation there is enough metal to clean up wherever it was measured, but data is missing"
	case bore.Doubtful:
		answer = "Whether it will clean up is closer than can be told"
	default:
		answer = "By calculation it will not clean up: more metal is needed"
	}
	answer += fmt.Sprintf(". Least radial stock %s at %.0f deg, %s deep; less %s for a boring axis off the axis of the bore leaves %s, with an uncertainty of %s (k = 2).",
		fine(c.Least), math.Floor(float64(c.Place.Angle)), depth(c.Place.Depth), fine(c.Eccentricity), fine(c.Margin), fine(c.Expanded))
	for _, s := range c.Short {
		missing = append(missing, fmt.Sprintf("%s: least stock %s at %.0f deg, %s deep", rangeOf(s, set), fine(s.Least), math.Floor(float64(s.Place.Angle)),
			depth(s.Place.Depth)))
	}
	for _, s := range c.Unseen {
		unseen = append(unseen, rangeOf(s, set))
	}
	return answer, missing, unseen
}

// rangeOf says where a patch lies.
func rangeOf(s bore.Shortage, set UnitSet) string {
	angles := "all round"
	if s.To-s.From < 360 {
		angles = fmt.Sprintf("from %.0f deg to %.0f deg", float64(s.From), float64(s.To))
	}
	return fmt.Sprintf("%s, %s to %s deep", angles, quantity.Text(s.FromDepth, set.Length, set.DepthDigits), quantity.Text(s.ToDepth, set.Length, set.DepthDigits))
}

// MapCautions say what a map can not know.
func MapCautions(m *bore.Map, c bore.CleanUp, u Units) []string {
	cautions := []string{
		"Heights are means over a cell, by conservation of volume on the curved wall. Valleys between beads, craters and cold starts lie deeper: measure before boring.",
		wireCaution(m, u.Set().Wire),
	}
	if c.BesideGap > 0 {
		cautions = append(cautions, "Planned gaps and what lies within 6 deg of one are not judged: look there.")
	}
	if c.Answer != "" {
		a := m.NewAllowance(c.Eccentricity)
		cautions = append(cautions, fmt.Sprintf("Uncertainty: deposition efficiency %s, wire %s, pitch %s (relative standard uncertainties), worn radius %s; the finish diameter is taken as exact.",
			quantity.Text(a.Efficiency, "%", 1), quantity.Text(a.Wire, "%", 1), quantity.Text(a.Pitch, "%", 1), quantity.Text(a.WornRadius, u.Set().Bore, u.Set().BoreDigits)))
	}
	if m.Beyond.ArcTime >= leastBeyond {
		cautions = append(cautions, fmt.Sprintf("%s of arc lies outside the map, or nobody knows where: its metal is not counted.", quantity.Text(m.Beyond.ArcTime, "s", 1)))
	}
	return cautions
}

// leastBeyond is the arc time outside of the map, in s, that is worth a word: less is
// the wire burning back at the end of a layer.
const leastBeyond = 0.1

// wireCaution says what the volume rests on.
func wireCaution(m *bore.Map, unit string) string {
	switch {
	case m.WireMeasured > 0 && m.WireDeclared > 0:
		return fmt.Sprintf("Volume rests on %s of measured wire and %s by the set-point of the wire speed, which nobody measured.",
			quantity.Text(m.WireMeasured, unit, 1), quantity.Text(m.WireDeclared, unit, 1))
	case m.WireMeasured > 0:
		return fmt.Sprintf("Volume rests on %s of measured wire, shared out over each pass by arc time and the wire speed that was read.", quantity.Text(m.WireMeasured, unit, 1))
	case m.WireDeclared > 0:
		return fmt.Sprintf("Volume rests on the set-point of the wire speed, %s in all: no wire was measured.", quantity.Text(m.WireDeclared, unit, 1))
	default:
		return "No wire is known, measured or set, so no volume."
	}
}

// What heads the lists of places.
const (
	ShortHead  = "More metal is needed, or cannot be told to be enough:"
	UnseenHead = "No data, so nobody knows what was laid; measure the wall:"
)

// PatchesShown keeps a repair that is far from done from scrolling the answer away.
const PatchesShown = 12

// CleanUpAnswer is whether the bore will clean up, in one sentence.
func (s *Sheet) CleanUpAnswer() string {
	answer, _, _ := CleanUpLines(s.Wall.CleanUp(s.Wall.NewAllowance(bore.DefaultEccentricity)), s.Units)
	return answer
}
