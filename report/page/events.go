package page

import (
	"math"
	"net/http"
	"slices"

	"arctally/report/sheet"
)

func (s *server) eventPage(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	request, err := eventsRequest(r)
	if err != nil {
		return err
	}
	list, judging, err := s.Events(r.Context(), record, request)
	return judged(w, list, judging, err)
}

func (s *server) eventAlone(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	request, err := eventsRequest(r)
	if err != nil {
		return err
	}
	number, err := numberIn(r, "event")
	if err != nil {
		return err
	}
	one, judging, err := s.Event(r.Context(), record, number, request)
	return judged(w, one, judging, err)
}

// eventsRequest reads what events are asked for.
func eventsRequest(r *http.Request) (request EventsRequest, err error) {
	q, values := query{r: r}, r.URL.Query()
	c := &request.Choice
	c.Cause, c.Rule = values.Get("cause"), values.Get("rule")
	c.Pass, c.Layer = int(q.number("pass", 0, math.MaxInt32, 0)), int(q.number("layer", 0, math.MaxInt32, 0))
	request.From = int(q.number("from", 0, math.MaxInt32, 0))
	c.State, c.Group = values.Get("state"), sheet.EventGroup(values.Get("group"))
	if !slices.Contains(sheet.EventStates, c.State) {
		q.wrong = append(q.wrong, FieldProblem{Field: "state", Error: "open, decided, or left out"})
	}
	if !slices.Contains(sheet.EventGroups, c.Group) {
		q.wrong = append(q.wrong, FieldProblem{Field: "group", Error: "pass, cause, layer, or left out"})
	}
	var known bool
	if request.Units, known = units[values.Get("units")]; !known {
		q.wrong = append(q.wrong, FieldProblem{Field: "units", Error: "metric or us"})
	}
	return request, q.err()
}
