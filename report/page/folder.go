package page

import (
	"errors"
	"fmt"
	"io/fs"
	"net/http"

	"arctally/report/page/form"
)

// noOperation says what is wrong with a request that no operation takes.
func noOperation(mux *http.ServeMux) func(http.ResponseWriter, *http.Request) error {
	return func(w http.ResponseWriter, r *http.Request) error {
		for _, method := range []string{http.MethodGet, http.MethodPost, http.MethodPut, http.MethodDelete} {
			other := r.Clone(r.Context())
			other.Method = method
			if _, pattern := mux.Handler(other); pattern != "/api/" {
				w.Header().Add("Allow", method)
			}
		}
		if w.Header().Get("Allow") != "" {
			return &Problem{Status: http.StatusMethodNotAllowed, Message: fmt.Sprintf("%s does not take %s", r.URL.Path, r.Method), Hint: "load the page again"}
		}
		return &Problem{Status: http.StatusNotFound, Message: "there is no " + r.URL.Path, Hint: "load the page again; /api/openapi.yaml says what there is"}
	}
}

func (s *server) house(w http.ResponseWriter, r *http.Request) error {
	house, err := s.House(r.Context())
	if err != nil {
		return err
	}
	return reply(w, http.StatusOK, house.whole())
}

func (s *server) form(w http.ResponseWriter, r *http.Request) error {
	kind, err := kindOf(r)
	if err != nil {
		return err
	}
	house, err := s.House(r.Context())
	if err != nil {
		return err
	}
	var files []string
	for _, row := range house.Procedures {
		if row.Path != "" {
			files = append(files, row.Path)
		}
	}
	return reply(w, http.StatusOK, form.Of(kind).Offering(files))
}

// filled is a file as the values of its form.
type filled struct {
	File   string            `json:"file"`
	Kind   form.Kind         `json:"kind"`
	Values map[string]string `json:"values"`
	Text   string            `json:"text"`
	ETag   string            `json:"etag"`
	Errors []form.Problem    `json:"errors"`
}

// sendFile sends a file with its values, and with what is wrong in it.
func sendFile(w http.ResponseWriter, kind form.Kind, file string, text []byte) error {
	f := filled{File: file, Kind: kind, Text: string(text), ETag: ETag(text)}
	f.Values, f.Errors = form.Fill(kind, text)
	f.Errors = append(f.Errors, form.Doubts(kind, text)...)
	w.Header().Set("ETag", f.ETag)
	return reply(w, http.StatusOK, f)
}

func (s *server) readFile(w http.ResponseWriter, r *http.Request) error {
	kind, file, err := fileOf(r)
	if err != nil {
		return err
	}
	text, err := s.ReadFile(r.Context(), kind, file)
	if err != nil {
		return err
	}
	return sendFile(w, kind, file, text)
}

// formValues are the values of a form that a person filled in.
type formValues struct {
	Values map[string]string `json:"values"`
}

func (s *server) writeFile(w http.ResponseWriter, r *http.Request) error {
	kind, file, err := fileOf(r)
	if err != nil {
		return err
	}
	was, err := versionOf(r)
	if err != nil {
		return err
	}
	var v formValues
	if err := receive(w, r, &v); err != nil {
		return err
	}
	if v.Values == nil {
		return need(needed{name: "values"})
	}
	text, err := s.changed(r, kind, file, was, v.Values)
	if err != nil {
		return err
	}
	if err := s.WriteFile(r.Context(), kind, file, text, was); err != nil {
		return err
	}
	return sendFile(w, kind, file, text)
}

// versionOf reads what the writer takes the file to be.
func versionOf(r *http.Request) (Version, error) {
	match, none := r.Header.Get("If-Match"), r.Header.Get("If-None-Match")
	switch {
	case match != "" && match != "*" && none == "":
		return Version{ETag: match}, nil
	case match == "" && none == "*":
		return Version{New: true}, nil
	default:
		return Version{}, &Problem{
			Status: http.StatusPreconditionRequired, Message: "which version of the file is to be changed?",
			Hint: `send If-Match with the ETag that was read, or If-None-Match: "*" for a new file`,
		}
	}
}

// changed returns the text of a file with other values in it.
func (s *server) changed(r *http.Request, kind form.Kind, file string, was Version, values map[string]string) ([]byte, error) {
	old, err := s.ReadFile(r.Context(), kind, file)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	switch {
	case was.New && err == nil:
		return nil, &Problem{Status: http.StatusPreconditionFailed, Message: "there is a " + string(kind) + " " + file + " already", Hint: "choose another name, or open the one that is there"}
	case err == nil && old == nil:
		old = []byte{} // an empty file is one
	}
	if !was.Holds(old) {
		return nil, errGone
	}
	text, err := apply(kind, file, old, values)
	if err != nil {
		return nil, err
	}
	return text, refused(file, "mend the fields that are marked, or keep their values on purpose", form.Doubts(kind, text))
}

// apply puts values into a text, and refuses what the strict parser would not take.
func apply(kind form.Kind, file string, text []byte, values map[string]string) ([]byte, error) {
	text, problems := form.Apply(kind, text, values)
	return text, refused(file, "mend the fields that are marked", problems)
}

// refused is nil where there are no problems.
func refused(file, hint string, problems []form.Problem) error {
	if len(problems) == 0 {
		return nil
	}
	p := unprocessable(problems[0].Sentence(file), hint)
	for _, problem := range problems {
		p.Fields = append(p.Fields, FieldProblem{problem.Field, problem.Reason, problem.Keep})
	}
	return p
}

// planRequest asks for the plan of values, of a file, or of a file with other values.
type planRequest struct {
	File   string            `json:"file"`
	Values map[string]string `json:"values"`
}

func (s *server) plan(w http.ResponseWriter, r *http.Request) error {
	var p planRequest
	if err := receive(w, r, &p); err != nil {
		return err
	}
	if p.File == "" && p.Values == nil {
		return unprocessable("which job is to be planned?", "send its file or its values")
	}
	var text []byte
	if p.File != "" {
		if !FileName(p.File) {
			return notThere("there is no job %q", p.File)
		}
		var err error
		if text, err = s.ReadFile(r.Context(), form.Job, p.File); err != nil {
			return err
		}
	}
	name := p.File
	if name == "" {
		name = "job"
	}
	text, err := apply(form.Job, name, text, p.Values)
	if err != nil {
		return err
	}
	plan, err := s.Plan(r.Context(), name, text)
	if err != nil {
		return err
	}
	return reply(w, http.StatusOK, plan)
}
