package sheet

import (
	"fmt"
	"math"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
)

// CleanUp says whether the bore will clean up, where it will not, and what the
// answer rests on.
type CleanUp struct {
	Answer   string
	Places   []Places
	Cautions []string
}

// Places is a list of places of the wall under its head. It is cut short, so that a
// repair that is far from done does not push the answer out of sight.
type Places struct {
	Head  string
	Lines []string
	More  int // places that are left out
}

// placesShown is how long such a list may be.
const placesShown = 12

// CleanUp puts the answer into words. It panics where there is no map.
func (s *Sheet) CleanUp(eccentricity quantity.Metres, u Units) CleanUp {
	clean, set := s.Wall.CleanUp(s.Wall.NewAllowance(eccentricity)), u.Set()
	words := CleanUp{Answer: cleanUpAnswer(&clean, set), Cautions: mapCautions(s.Wall, &clean, set)}
	if clean.Answer == "" {
		return words
	}
	var short, unseen []string
	for _, one := range clean.Short {
		short = append(short, fmt.Sprintf("%s: least stock %s at %.0f deg, %s deep", patchText(&one, set), Say(one.Least, set.Bore),
			math.Floor(float64(one.Place.Angle)), Say(one.Place.Depth, set.Depth)))
	}
	for _, one := range clean.Unseen {
		unseen = append(unseen, patchText(&one, set))
	}
	words.add("More metal is needed, or cannot be told to be enough:", short)
	words.add("No data, so nobody knows what was laid; measure the wall:", unseen)
	return words
}

func (c *CleanUp) add(head string, lines []string) {
	if shown := min(placesShown, len(lines)); shown > 0 {
		c.Places = append(c.Places, Places{head, lines[:shown:shown], len(lines) - shown})
	}
}

func cleanUpAnswer(c *bore.CleanUp, set *UnitSet) string {
	answer := ""
	switch c.Answer {
	case "":
		return "Whether it will clean up is not known: " + c.Why + "."
	case bore.Enough:
		answer = "By calculation there is enough metal all round to clean up"
	case bore.NotSeen:
		answer = "By calculation there is enough metal to clean up wherever it was measured, but data is missing"
	case bore.Doubtful:
		answer = "Whether it will clean up is closer than can be told"
	default:
		answer = "By calculation it will not clean up: more metal is needed"
	}
	return answer + fmt.Sprintf(". Least radial stock %s at %.0f deg, %s deep; less %s for a boring axis off the axis of the bore leaves %s, with an uncertainty of %s (k = 2).",
		Say(c.Least, set.Bore), math.Floor(float64(c.Place.Angle)), Say(c.Place.Depth, set.Depth), Say(c.Eccentricity, set.Bore),
		Say(c.Margin, set.Bore), Say(c.Expanded, set.Bore))
}

// patchText says where a patch of the wall lies.
func patchText(s *bore.Shortage, set *UnitSet) string {
	angles := "all round"
	if s.To-s.From < 360 {
		angles = fmt.Sprintf("from %.0f deg to %.0f deg", float64(s.From), float64(s.To))
	}
	return fmt.Sprintf("%s, %s to %s deep", angles, Say(s.FromDepth, set.Depth), Say(s.ToDepth, set.Depth))
}

// mapCautions say what a map can not know.
func mapCautions(m *bore.Map, c *bore.CleanUp, set *UnitSet) []string {
	cautions := []string{
		"Heights are means over a cell, by conservation of volume on the curved wall. Valleys between beads, craters and cold starts lie deeper: measure before boring.",
		wireCaution(m, set.Wire.To(1)),
	}
	if c.BesideGap > 0 {
		cautions = append(cautions, "Planned gaps and what lies within "+GapReach(m)+" of one are not judged: look there.")
	}
	if c.Answer != "" {
		a := m.NewAllowance(c.Eccentricity)
		cautions = append(cautions, fmt.Sprintf("Uncertainty: deposition efficiency %s, wire %s, pitch %s, evenness of the rotation between counts %s (relative standard uncertainties), worn radius %s; the finish diameter is taken as exact.",
			quantity.Text(a.Efficiency, "%", 1), quantity.Text(a.Wire, "%", 1), quantity.Text(a.Pitch, "%", 1), quantity.Text(a.Rotation, "%", 1), Say(a.WornRadius, set.Bore)))
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
func wireCaution(m *bore.Map, unit Unit) string {
	switch {
	case m.WireMeasured > 0 && m.WireDeclared > 0:
		return fmt.Sprintf("Volume rests on %s of measured wire and %s by the set-point of the wire speed, which nobody measured.",
			Say(m.WireMeasured, unit), Say(m.WireDeclared, unit))
	case m.WireMeasured > 0:
		return fmt.Sprintf("Volume rests on %s of measured wire, shared out over each pass by arc time and the wire speed that was read.", Say(m.WireMeasured, unit))
	case m.WireDeclared > 0:
		return fmt.Sprintf("Volume rests on the set-point of the wire speed, %s in all: no wire was measured.", Say(m.WireDeclared, unit))
	default:
		return "No wire is known, measured or set, so no volume."
	}
}
