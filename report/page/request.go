package page

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"time"

	"arctally/acquire/foreign"
	"arctally/report/page/form"
)

const (
	mostJSON = 1 << 20          // bytes of a request
	readTime = 30 * time.Second // to send one
)

// receive reads the body of a request strictly. Who sends something that is not
// known is told, for it would not be done.
func receive(w http.ResponseWriter, r *http.Request, into any) error {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/json" {
		return &Problem{Status: http.StatusUnsupportedMediaType, Message: fmt.Sprintf("%q is not application/json", r.Header.Get("Content-Type")), Hint: "send JSON"}
	}
	text, err := readBody(w, r, mostJSON, readTime)
	if err != nil {
		return err
	}
	if err := foreign.OneOfEach(text); err != nil {
		return unprocessable(err.Error(), "load the page again")
	}
	decoder := json.NewDecoder(strings.NewReader(string(text)))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return misread(err)
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return unprocessable("something follows the JSON", "send one object")
	}
	return nil
}

// readBody reads a body within a limit and a time. Where its length says that it
// is too long, none of it is read.
func readBody(w http.ResponseWriter, r *http.Request, most int64, within time.Duration) ([]byte, error) {
	if r.ContentLength > most {
		return nil, errTooLarge(most)
	}
	control := http.NewResponseController(w)
	_ = control.SetReadDeadline(time.Now().Add(within)) // only real connections have one
	text, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
	var tooLarge *http.MaxBytesError
	if err != nil && !errors.As(err, &tooLarge) {
		return nil, &Problem{Status: http.StatusRequestTimeout, Message: "the request did not come through whole: " + err.Error(), Hint: "go nearer to the machine, and send it again"}
	}
	_ = control.SetReadDeadline(time.Time{}) // or it would end the work that follows
	return text, err
}

// unknownField finds the name in the words of the decoder.
var unknownField = regexp.MustCompile(`^json: unknown field "(.*)"$`)

func misread(err error) error {
	var wrongType *json.UnmarshalTypeError
	match := unknownField.FindStringSubmatch(err.Error())
	switch {
	case match != nil:
		return unprocessable(fmt.Sprintf("there is no field %q", match[1]), "leave it out, or load the page again", FieldProblem{Field: match[1], Error: "it is not known"})
	case errors.As(err, &wrongType):
		reason := fmt.Sprintf("it cannot be a %s", wrongType.Value)
		return unprocessable(fmt.Sprintf("%s: %s", wrongType.Field, reason), "load the page again", FieldProblem{Field: wrongType.Field, Error: reason})
	default:
		return unprocessable("that is not JSON: "+err.Error(), "load the page again")
	}
}

// needed is a field that must not be empty.
type needed struct{ name, value string }

// need refuses empty fields, all at once.
func need(all ...needed) error {
	var fields []FieldProblem
	var names []string
	for _, n := range all {
		if strings.TrimSpace(n.value) == "" {
			names = append(names, n.name)
			fields = append(fields, FieldProblem{Field: n.name, Error: "it is missing"})
		}
	}
	if fields == nil {
		return nil
	}
	return unprocessable("missing: "+strings.Join(names, ", "), "fill in what is missing", fields...)
}

func notThere(format string, arg ...any) *Problem {
	return &Problem{Status: http.StatusNotFound, Message: fmt.Sprintf(format, arg...), Hint: "look at the list of what there is"}
}

func kindOf(r *http.Request) (form.Kind, error) {
	kind := form.Kind(r.PathValue("kind"))
	if !kind.Known() {
		return "", notThere("there is no form of a %q; there are job and procedure", r.PathValue("kind"))
	}
	return kind, nil
}

func fileOf(r *http.Request) (form.Kind, string, error) {
	kind, err := kindOf(r)
	if err != nil {
		return "", "", err
	}
	if file := r.PathValue("file"); FileName(file) {
		return kind, file, nil
	}
	return "", "", &Problem{
		Status: http.StatusNotFound, Message: fmt.Sprintf("a file cannot be called %q", r.PathValue("file")),
		Hint: "use small letters a to z, figures, dots, dashes and underscores, 80 at most",
	}
}

// recordRule says which names a record can have.
const recordRule = "use letters a to z, figures, spaces, dots, dashes and underscores, 100 at most"

func recordOf(r *http.Request) (string, error) {
	record := r.PathValue("record")
	if !RecordName(record) {
		return "", &Problem{
			Status: http.StatusNotFound, Message: fmt.Sprintf("a record cannot be called %q", record),
			Hint: recordRule,
		}
	}
	return record, nil
}

// query reads whole numbers from the query, and keeps what is wrong with them.
type query struct {
	r     *http.Request
	wrong []FieldProblem
}

// number reads one from low to high; otherwise stands for one that is left out,
// and must lie outside where it must not be.
func (q *query) number(name string, low, high, otherwise int64) int64 {
	text := q.r.URL.Query().Get(name)
	if text == "" && otherwise >= low {
		return otherwise
	}
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil || n < low || n > high {
		q.wrong = append(q.wrong, FieldProblem{Field: name, Error: fmt.Sprintf("%q is not a whole number from %d to %d", text, low, high)})
		return low
	}
	return n
}

func (q *query) err() error {
	if q.wrong == nil {
		return nil
	}
	return unprocessable(q.wrong[0].Field+": "+q.wrong[0].Error, "load the page again", q.wrong...)
}
