package sheet

import (
	"cmp"
	"slices"
	"time"

	"arctally/analyze/bore"
)

// Integrity is what came of reading the whole record and recomputing its chain. Its zero value
// is a record that nobody has read through.
type Integrity struct {
	Verified bool
	Damage   string // what is not as it was written; empty where nothing was found
	// Since is when it was read through, where that was before, and the system shows no
	// change of the file since; zero is now.
	Since time.Time
}

// TruthKind is what a truth is about.
type TruthKind string

// What a banner speaks of, the worst first.
const (
	OfRecord      TruthKind = "record"
	OfSimulation  TruthKind = "simulation"
	OfPasses      TruthKind = "passes"
	OfCleanUp     TruthKind = "clean-up"
	OfEvents      TruthKind = "events"
	OfDiameters   TruthKind = "diameters"
	OfHeat        TruthKind = "heat"
	OfCalibration TruthKind = "calibration"
	OfProof       TruthKind = "proof"
)

// rank is the order in which truths are told: what makes all that follows worthless stands first.
var rank = []TruthKind{OfRecord, OfSimulation, OfPasses, OfCleanUp, OfEvents, OfDiameters, OfHeat, OfCalibration, OfProof}

// Truth is one thing that whoever looks at a job has to know.
type Truth struct {
	Kind  TruthKind `json:"kind"`
	Sign  string    `json:"sign"`  // within is the only good one; unjudged is not known
	Short string    `json:"short"` // for one line among others
	Words string    `json:"words"` // a sentence
}

// Good reports whether nothing stands open or unknown.
func (t *Truth) Good() bool { return t.Sign == SignWithin }

// Banner is every truth about a job, the worst first; it always has one.
type Banner []Truth

// Worst is what stands above all else.
func (b Banner) Worst() *Truth { return &b[0] }

// Good reports whether nothing stands open or unknown. It accepts nothing: a person does.
func (b Banner) Good() bool { return b.Worst().Good() }

// Banner tells what is true of the job, the worst first. What is good stands behind all that is
// open or not known, so that it never hides it.
func (s *Sheet) Banner(u Units) Banner {
	var b Banner
	for _, told := range []*Truth{
		s.recordTruth(), s.simulationTruth(), s.passesTruth(), s.cleanUpTruth(u), s.eventsTruth(), s.diameterTruth(u), s.heatTruth(), s.calibrationTruth(), s.proofTruth(),
	} {
		if told != nil {
			b = append(b, *told)
		}
	}
	slices.SortStableFunc(b, func(x, y Truth) int {
		return cmp.Or(cmp.Compare(goodLast(&x), goodLast(&y)), cmp.Compare(slices.Index(rank, x.Kind), slices.Index(rank, y.Kind)))
	})
	return b
}

func goodLast(t *Truth) int {
	if t.Good() {
		return 1
	}
	return 0
}

func (s *Sheet) recordTruth() *Truth {
	switch {
	case s.Integrity.Damage != "":
		return &Truth{OfRecord, SignOutside, "record damaged", "The record is damaged: " + s.Integrity.Damage + ". Nothing below can be relied on."}
	case !s.Integrity.Verified:
		return &Truth{OfRecord, SignUnjudged, "record not verified", "The record is not verified: nobody has read it through to see whether it is as it was written."}
	}
	words := "The record is verified: it is as it was written."
	if since := s.Integrity.Since; !since.IsZero() {
		words = "The record is verified: all of it was read on " + Minute(since) + " and was as it was written. This machine shows no change of its file since, but what was put on record here."
	}
	return &Truth{OfRecord, SignWithin, "record verified", words}
}

func (s *Sheet) simulationTruth() *Truth {
	if !s.Simulated {
		return nil
	}
	return &Truth{OfSimulation, SignOutside, "simulated", "Simulated: a virtual sensor box said this, and nothing was welded."}
}

func (s *Sheet) passesTruth() *Truth {
	if len(s.Passes) > 0 {
		return nil
	}
	return &Truth{OfPasses, SignUnjudged, "no pass", "No pass was found in this record: nothing is judged."}
}

// onPlate reports whether there is no bore that could clean up or have a diameter.
func (s *Sheet) onPlate() bool { return s.Job.Deposit.Pattern == bore.Straight }
