package page

import (
	"net/http"
	"strings"
	"unicode"
)

// PointState is how a thing stands that is missing or doubtful before a recording.
type PointState string

// The states of a point.
const (
	Lacks  PointState = "missing"  // one may go without it, knowingly
	Doubts PointState = "doubtful" // it is there, and not as it should be
	Stops  PointState = "stops"    // nothing can be recorded until it is mended
)

// PointAbout is what a point is about, and so where it is mended.
type PointAbout string

// What points are about.
const (
	AboutCheck  PointAbout = "check"
	AboutJob    PointAbout = "job"
	AboutSensor PointAbout = "sensor"
	AboutDisk   PointAbout = "disk"
)

// Point is one thing that is missing or doubtful before a recording.
type Point struct {
	About PointAbout `json:"about"`
	Kind  string     `json:"kind,omitempty"` // of the check that mends it
	State PointState `json:"state"`
	Says  string     `json:"says"`
	Hint  string     `json:"hint"` // what it costs to go without it, or what mends it
}

// Begin is everything that a person should know before a job is recorded.
type Begin struct {
	Operator string  `json:"operator"` // of the job; empty where it names none
	Points   []Point `json:"points"`
}

func (s *server) before(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	job := r.URL.Query().Get("job")
	if err := need(needed{"job", job}); err != nil {
		return err
	}
	b, err := s.Before(r.Context(), record, job, r.URL.Query().Get("port"))
	if err != nil {
		return err
	}
	b.Points = notNil(b.Points)
	return reply(w, http.StatusOK, b)
}

// What a person begins without goes on record as one sentence; a page shows fewer and
// shorter points than these.
const (
	mostWithout    = 40
	longestWithout = 400 // bytes
)

// knowingly refuses a start without something that names nobody, or is no list of words.
func knowingly(r StartRequest) error {
	if len(r.Without) == 0 {
		return nil
	}
	if err := need(needed{"by", r.By}); err != nil {
		return err
	}
	for _, words := range r.Without {
		if len(r.Without) > mostWithout || len(words) > longestWithout || strings.TrimSpace(words) == "" || strings.ContainsFunc(words, unicode.IsControl) {
			const rule = "at most 40 points of one line each"
			return unprocessable("what is gone without cannot be put on record", rule, FieldProblem{Field: "without", Error: rule})
		}
	}
	return nil
}
