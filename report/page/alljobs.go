package page

import (
	"context"
	"net/http"
	"slices"

	"arctally/report/fleet"
)

// Fleet answers what is asked of all jobs at once.
type Fleet interface {
	// AllJobs answers one question. While the folder has still to be looked through it returns how far that is, and no answer.
	AllJobs(ctx context.Context, r FleetRequest) (*FleetAnswer, *Judging, error)
}

// FleetQuestion is one that is asked of all jobs.
type FleetQuestion string

// The questions, as the command fleet calls them.
const (
	AskHeatInput    FleetQuestion = "heat-input"
	AskArcOn        FleetQuestion = "arc-on"
	AskProved       FleetQuestion = "proved"
	AskOpen         FleetQuestion = "open"
	AskCalibrations FleetQuestion = "calibrations"
	AskSince        FleetQuestion = "since"
)

var fleetQuestions = []FleetQuestion{AskHeatInput, AskArcOn, AskProved, AskOpen, AskCalibrations, AskSince}

// Limits of a question.
const (
	usualMost, largestMost = 20, 200
	longestDays            = 36500
	usualDaysAhead         = 60 // that calibrations run out within
	usualDaysBack          = 30 // that something was taken in
)

// FleetRequest is a question with what it is limited by.
type FleetRequest struct {
	Question FleetQuestion
	By       fleet.Side // of charts
	Most     int        // lines
	Days     int        // that calibrations run out within, or that something was taken in before now
}

// FleetAnswer answers a question: the one that was asked is not null.
type FleetAnswer struct {
	Of      FleetOf           `json:"of"`
	Here    map[string]string `json:"here"` // records of this folder by the digests that stand in the answer
	Charts  *fleet.Charts     `json:"charts"`
	Proved  *fleet.Proved     `json:"proved"`
	Open    *fleet.OpenEvents `json:"open"`
	Due     *fleet.Due        `json:"due"`
	Changes *fleet.Changes    `json:"changes"`
}

// FleetOf is what an answer is of; nil is not known.
type FleetOf struct {
	Given   *string        `json:"given"`    // what the database is called that is asked; nil is that of this folder
	Passing *string        `json:"passing"`  // why the database goes when the program ends; nil where it stays
	Since   *string        `json:"since"`    // when the first state was taken in
	At      string         `json:"at"`       // when the folder was looked through, or the database asked
	Jobs    *int           `json:"jobs"`     // that stand in the answers
	LeftOut []FleetLeftOut `json:"left_out"` // records of the folder that stand in no answer, or not as they are now
}

// FleetLeftOut is a record that is left out, and why.
type FleetLeftOut struct {
	Record string  `json:"record"`
	State  string  `json:"state"`
	Why    string  `json:"why"`
	Hint   *string `json:"hint"`
}

// ReadHere picks out of the records of a folder those that the answer leads to.
func (a *FleetAnswer) ReadHere(all map[string]string) map[string]string {
	here := map[string]string{}
	lead := func(p fleet.Place) {
		if record, ok := all[p.Digest]; ok {
			here[p.Digest] = record
		}
	}
	if a.Charts != nil {
		for _, c := range a.Charts.Charts {
			for _, d := range slices.Concat(c.Newest, c.Farthest) {
				lead(d.Place)
			}
		}
	}
	if a.Proved != nil {
		for _, p := range a.Proved.Procedures {
			for _, b := range p.Bars {
				lead(b.Place)
			}
		}
	}
	if a.Open != nil {
		for _, e := range a.Open.Events {
			lead(e.Place)
		}
	}
	if a.Due != nil {
		for _, c := range a.Due.Calibrated {
			lead(c.Place)
		}
	}
	if a.Changes != nil {
		for _, c := range a.Changes.States {
			lead(c.Place)
		}
	}
	return here
}

func (s *server) allJobs(w http.ResponseWriter, r *http.Request) error {
	request := FleetRequest{Question: FleetQuestion(r.PathValue("question")), By: fleet.Side(r.URL.Query().Get("by"))}
	if !slices.Contains(fleetQuestions, request.Question) {
		return notThere("nothing is called %q that can be asked of all jobs", request.Question)
	}
	days := map[bool]int64{true: usualDaysBack, false: usualDaysAhead}[request.Question == AskSince]
	q := query{r: r}
	request.Most, request.Days = int(q.number("most", 1, largestMost, usualMost)), int(q.number("days", 0, longestDays, days))
	if request.By == "" {
		request.By = fleet.ByProcedure
	} else if !slices.Contains(fleet.Sides(), request.By) {
		q.wrong = append(q.wrong, FieldProblem{Field: "by", Error: "charts are drawn by procedure, box, operator or layer"})
	}
	if err := q.err(); err != nil {
		return err
	}
	answer, judging, err := s.AllJobs(r.Context(), request)
	return judged(w, answer, judging, err)
}
