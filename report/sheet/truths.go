package sheet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/bore"
	"arctally/analyze/event"
	"arctally/analyze/heat"
	"arctally/analyze/inspect"
	"arctally/analyze/proof"
)

// cleanUpTruth goes by what a person saw after machining, and by calculation where nobody has said it.
func (s *Sheet) cleanUpTruth(u Units) *Truth {
	if s.onPlate() {
		return nil
	}
	if m := s.Book.Machining(); m != nil {
		switch m.Machining.CleanedUp {
		case inspect.AllRound:
			return &Truth{OfCleanUp, SignWithin, "cleaned up", "The cut cleaned up all round, says " + m.Who() + "."}
		case inspect.NotAllRound:
			return &Truth{OfCleanUp, SignOutside, "did not clean up", cleanedUpText(m.Machining)}
		}
	}
	if s.Wall == nil {
		return &Truth{OfCleanUp, SignUnjudged, "clean-up not known", "Whether it will clean up is not known: there is no map of the wall."}
	}
	return cleanUpByMap(s.Wall.CleanUp(s.Wall.NewAllowance(bore.DefaultEccentricity)), u.Set())
}

func cleanUpByMap(c bore.CleanUp, set *UnitSet) *Truth {
	where := fmt.Sprintf("at %.0f deg, %s deep", math.Floor(float64(c.Place.Angle)), Say(c.Place.Depth, set.Depth))
	spare := c.Margin
	if c.Answer == bore.TooLittle {
		spare = -spare
	}
	margin := Show(&spare, set.Bore) + " ±" + Say(c.Expanded, set.Bore) // k = 2
	switch c.Answer {
	case "":
		return &Truth{OfCleanUp, SignUnjudged, "clean-up not known", "Whether it will clean up is not known: " + c.Why + "."}
	case bore.Enough:
		return &Truth{OfCleanUp, SignWithin, "will clean up", "By calculation it will clean up all round."}
	case bore.NotSeen:
		return &Truth{OfCleanUp, SignUnjudged, "clean-up not known", "Whether it will clean up is not known " + patchText(&c.Unseen[0], set) + ": data is missing there."}
	case bore.Doubtful:
		return &Truth{OfCleanUp, SignNear, "clean-up in doubt", fmt.Sprintf("Whether it will clean up is too close to tell: %s to spare %s.", margin, where)}
	}
	return &Truth{OfCleanUp, SignOutside, "will not clean up", fmt.Sprintf("By calculation it will not clean up: %s short %s.", margin, where)}
}

func (s *Sheet) eventsTruth() *Truth {
	open, events, lost := s.Book.Open(), s.Book.OpenEvents(), 0
	for k := range s.Book.Orphans {
		if s.Book.Orphans[k].State.IsOpen() {
			lost++
		}
	}
	switch {
	case open == 0 && len(s.Findings)+len(s.Book.Orphans) == 0:
		return &Truth{OfEvents, SignWithin, "no finding", "Nothing was found to inspect."}
	case open == 0:
		return &Truth{OfEvents, SignWithin, "no event open", "Somebody has decided on every event."}
	}
	var short string
	var parts []string
	if events > 0 {
		short = Plural(events, "event", "events") + " open"
		parts = append(parts, Plural(events, "event is open", "events are open")+" ("+Plural(open-lost, "finding", "findings")+")")
	}
	if lost > 0 { // decided on by another judgement, and left open there
		short = cmp.Or(short, Plural(lost, "finding", "findings")+" open")
		parts = append(parts, Plural(lost, "finding", "findings")+" of another judgement left open")
	}
	return &Truth{OfEvents, SignNearOut, short, strings.Join(parts, ", and ") + ": somebody has still to do something."}
}

func (s *Sheet) diameterTruth(u Units) *Truth {
	if s.onPlate() {
		return nil
	}
	m := s.Book.Machining()
	if m == nil || len(m.Machining.Stations) == 0 {
		return &Truth{OfDiameters, SignUnjudged, "no diameter", "No diameter is on record after machining."}
	}
	size, unit := m.Machining.Size(), u.Set().Fine
	switch {
	case m.Machining.Wanted.IsZero():
		return &Truth{OfDiameters, SignUnjudged, "diameters not judged", "The diameters are not judged: the limits of the drawing are not on record."}
	case size.Beyond != 0:
		return diametersOut(m.Machining, size, unit)
	}
	inside := "Every measured diameter lies inside the limits of the drawing"
	switch size.Verdict {
	case heat.Within:
		return &Truth{OfDiameters, SignWithin, "diameters inside", inside + "."}
	case heat.WithinNearLimit:
		return &Truth{OfDiameters, SignNear, "diameter near its limit", inside + ", but one of them by less than its uncertainty."}
	}
	return &Truth{OfDiameters, SignUnjudged, "diameters not proved", inside + ", but their uncertainty is not on record."}
}

// diametersOut names the station that lies furthest out.
func diametersOut(m *inspect.Machining, size *inspect.Size, unit Unit) *Truth {
	out := 0
	for _, at := range m.Stations {
		if m.Wanted.Beyond(at.Diameter) != 0 {
			out++
		}
	}
	worst, side := size.Greatest, "above"
	if size.Beyond < 0 {
		worst, side = size.Least, "below"
	}
	words := fmt.Sprintf("%s of %d out of the limits of the drawing, %s: the worst is %s at %.0f deg, %s deep, %s %s.",
		Plural(out, "diameter", "diameters"), len(m.Stations), wantedText(m.Wanted, unit), Say(worst.Diameter, unit), float64(worst.Angle), Say(worst.Depth, unit.To(unit.Digits-2)),
		Say(quantity.Metres(math.Abs(float64(size.Beyond))), unit), side)
	sign := SignOutside
	if size.Verdict == heat.OutsideNearLimit {
		sign = SignNearOut
	}
	return &Truth{OfDiameters, sign, Plural(out, "diameter", "diameters") + " out", words}
}

// heatTruth tells of the worst verdict, and of every other one that is not good.
func (s *Sheet) heatTruth() *Truth {
	name := "heat input"
	if s.JudgesArcEnergy() {
		name = "arc energy"
	}
	t := Truth{Kind: OfHeat, Sign: SignWithin}
	var parts []string
	all := s.Verdicts()
	for _, place := range []int{outside, nearOut, unjudged, near} {
		if all[place].Passes == 0 {
			continue
		}
		if len(parts) == 0 {
			t.Sign = all[place].Sign
			t.Short = fmt.Sprintf("%s %s in %s", name, all[place].Words, Plural(all[place].Passes, "pass", "passes"))
		}
		parts = append(parts, all[place].Sentence+" in "+s.passesWith(place))
	}
	switch {
	case len(s.Passes) == 0:
		return nil
	case len(parts) == 0:
		t.Short, t.Words = name+" within", "Every pass lies inside the window of the "+name+"."
	default:
		t.Words = "The " + name + " is " + strings.Join(parts, "; ") + "."
	}
	return &t
}

// passesWith names the passes that have a verdict.
func (s *Sheet) passesWith(place int) string {
	var numbers []int
	for k := range s.Passes {
		if verdictPlace(s.Passes[k].Verdict) == place {
			numbers = append(numbers, s.Passes[k].Number)
		}
	}
	return passesText(numbers)
}

func passesText(numbers []int) string {
	if len(numbers) == 1 {
		return "pass " + event.Ranges(numbers)
	}
	return "passes " + event.Ranges(numbers)
}

// uncalibrated are the reasons for which a value rests on no calibration that holds.
var uncalibrated = []proof.Kind{proof.NoCalibration, proof.AnotherBox, proof.Overdue, proof.UndatedDue}

func (s *Sheet) calibrationTruth() *Truth {
	var passes []int
	for _, missing := range s.Proof.Missing {
		if slices.Contains(uncalibrated, missing.Kind) {
			passes = append(passes, missing.Passes...)
		}
	}
	slices.Sort(passes)
	passes = slices.Compact(passes)
	switch {
	case len(s.Passes) == 0:
		return nil
	case len(passes) == 0:
		return &Truth{OfCalibration, SignWithin, "calibrated", "A calibration in date stands behind every pass."}
	}
	return &Truth{OfCalibration, SignUnjudged, "calibration missing", "No calibration that holds stands behind what was measured in " + passesText(passes) + "."}
}

// proofTruth speaks up only where something is not proved that the other truths may not name.
func (s *Sheet) proofTruth() *Truth {
	if len(s.Passes) == 0 || s.Proved() {
		return nil
	}
	return &Truth{OfProof, SignUnjudged, "not proved", s.ProofSummary()}
}
