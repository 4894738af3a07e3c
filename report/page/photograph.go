package page

import (
	"fmt"
	"mime"
	"net/http"
	"slices"
	"strconv"
	"time"
)

// MaxPhotograph is the most bytes of a photograph that are taken, as much as a
// record takes.
const MaxPhotograph = 16 << 20

// photographTime is how long a telephone may take to send a photograph.
const photographTime = 5 * time.Minute

var photographTypes = []string{"image/jpeg", "image/png"}

func (s *server) addPhotograph(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || !slices.Contains(photographTypes, kind) {
		return wrongType("%q is no type of a photograph", r.Header.Get("Content-Type"))
	}
	content, err := readBody(w, r, MaxPhotograph, photographTime)
	if err != nil {
		return err
	}
	if found := http.DetectContentType(content); found != kind {
		return wrongType("it is said to be %s, and is %s", kind, found)
	}
	kept, err := s.AddPhotograph(r.Context(), record, kind, content)
	if err != nil {
		return err
	}
	return reply(w, http.StatusCreated, kept)
}

func wrongType(format string, arg ...any) *Problem {
	return &Problem{Status: http.StatusUnsupportedMediaType, Message: fmt.Sprintf(format, arg...), Hint: "send a JPEG or a PNG"}
}

// photograph sends a photograph. It is named by its content, so that it never changes.
func (s *server) photograph(w http.ResponseWriter, r *http.Request) error {
	record, err := recordOf(r)
	if err != nil {
		return err
	}
	digest := r.PathValue("sha256")
	if !digestText(digest) {
		return notThere("%q names no photograph", digest)
	}
	kind, content, err := s.Photograph(r.Context(), record, digest)
	if err != nil {
		return err
	}
	if !slices.Contains(photographTypes, kind) { // who wrote the record may have called it anything
		kind = "application/octet-stream"
	}
	header := w.Header()
	header.Set("ETag", `"`+digest+`"`)
	header.Set("Cache-Control", "private, max-age=31536000, immutable")
	if r.Header.Get("If-None-Match") == header.Get("ETag") {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	header.Set("Content-Type", kind)
	header.Set("Content-Length", strconv.Itoa(len(content)))
	extend(w, photographTime)
	_, _ = w.Write(content) // who went away needs no answer
	return nil
}
