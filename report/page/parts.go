package page

import (
	"fmt"
	"math"
	"net/http"
)

// Parts of a review, which a page asks for as a person looks at them.

func (s *server) passPage(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	q := query{r: r}
	from := int(q.number("from", 0, math.MaxInt32, 0))
	if err := q.err(); err != nil {
		return err
	}
	part, judging, err := s.PassPage(r.Context(), record, from)
	return judged(w, part, judging, err)
}

func (s *server) passAlone(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	number, err := numberIn(r, "pass")
	if err != nil {
		return err
	}
	one, judging, err := s.Pass(r.Context(), record, number)
	return judged(w, one, judging, err)
}

func (s *server) cellAlone(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	row, err := numberIn(r, "row")
	if err != nil {
		return err
	}
	column, err := numberIn(r, "column")
	if err != nil {
		return err
	}
	one, judging, err := s.Cell(r.Context(), record, row, column)
	return judged(w, one, judging, err)
}

// numberIn is a number in the path of a request.
func numberIn(r *http.Request, name string) (number int, err error) {
	if _, err := fmt.Sscan(r.PathValue(name), &number); err != nil || number < 0 {
		return 0, notThere("there is no %s %q", name, r.PathValue(name))
	}
	return number, nil
}
