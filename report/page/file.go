package page

import (
	"mime"
	"net/http"
	"slices"

	"arctally/report/sheet"
)

// fileType is how a form is sent.
type fileType struct {
	media  string
	policy string // of a form that a browser shows; any other is kept
}

var fileTypes = map[FileForm]fileType{
	PDF:         {"application/pdf", paperPolicy},
	HTML:        {"text/html; charset=utf-8", drawnPolicy},
	JSON:        {"application/json", ""},
	CSV:         {"text/csv; charset=utf-8", ""},
	PassesCSV:   {"text/csv; charset=utf-8", ""},
	FindingsCSV: {"text/csv; charset=utf-8", ""},
	Parquet:     {"application/vnd.apache.parquet", ""},
}

// paperPolicy is for what a browser shows by means of its own.
const paperPolicy = "frame-ancestors 'self'"

// drawnPolicy is for a weld record: it carries its styles and pictures with it,
// and neither loads nor runs anything.
const drawnPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'self'"

var units = map[string]sheet.Units{"": sheet.Metric, "metric": sheet.Metric, "us": sheet.US}

func (s *server) file(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	request := FileRequest{Form: FileForm(r.PathValue("form")), Paper: r.URL.Query().Get("paper")}
	kind, ok := fileTypes[request.Form]
	if !ok {
		return notThere("a record cannot be had as %q", string(request.Form))
	}
	if request.Paper == "" {
		request.Paper = "a4"
	}
	if !slices.Contains([]string{"a4", "letter"}, request.Paper) {
		return unprocessable("there is no such paper", "ask for a4 or letter", FieldProblem{Field: "paper", Error: "a4 or letter"})
	}
	if request.Units, ok = units[r.URL.Query().Get("units")]; !ok {
		return unprocessable("there are no such units", "ask for metric or us", FieldProblem{Field: "units", Error: "metric or us"})
	}
	kind.announce(w.Header(), record+"."+string(request.Form))
	return s.File(r.Context(), &patient{w}, record, request)
}

func (t fileType) announce(header http.Header, name string) {
	disposition := "attachment"
	if t.policy != "" {
		disposition = "inline"
		header.Set("Content-Security-Policy", t.policy)
	}
	header.Set("Content-Type", t.media)
	header.Set("Cache-Control", "no-store")
	header.Set("Content-Disposition", mime.FormatMediaType(disposition, map[string]string{"filename": name}))
}

// patient gives a browser time for each piece, however long the whole takes.
type patient struct{ http.ResponseWriter }

// Write implements io.Writer.
func (p *patient) Write(b []byte) (int, error) {
	extend(p.ResponseWriter, sendTime)
	return p.ResponseWriter.Write(b)
}
