package door

import (
	"fmt"
	"net/http"
	"strconv"
	"time"

	"arctally/report/page"
)

// quoted is what came from outside, with nothing in it that a terminal or a page acts on, and not at any length.
func quoted(text string) string {
	const most = 80
	if len(text) > most {
		text = text[:most] + "..."
	}
	return strconv.QuoteToASCII(text)
}

var (
	errHome = &page.Problem{Status: http.StatusConflict, Message: "these pages are for this machine alone", Hint: "start it for others too: arctally serve --listen :8470"}
	errHere = &page.Problem{Status: http.StatusConflict, Message: "who sits at the machine needs no pairing", Hint: "go on at / "}

	errNoCode = &page.Problem{
		Status: http.StatusForbidden, Message: "the machine shows no code now",
		Hint: "have one shown: the page Devices at the machine, or start arctally serve again",
	}
)

func wrongField(field, wrong, hint string) error {
	return &page.Problem{Status: http.StatusUnprocessableEntity, Message: wrong, Hint: hint, Fields: []page.FieldProblem{{Field: field, Error: wrong}}}
}

// wrongCode is a code that is not the one; the client may have to wait for its next try.
func wrongCode(wait time.Duration) error {
	p := &page.Problem{Status: http.StatusForbidden, Message: "the code is wrong", Hint: "read it off the machine once more, and type it again", Wait: wait}
	if wait > 0 {
		p.Hint = "wait " + lasting(wait) + ", read it off the machine once more, and type it again"
	}
	return p
}

// waiting is a try that comes too soon; it counts as none.
func waiting(wait time.Duration) error {
	return &page.Problem{Status: http.StatusTooManyRequests, Message: "too many wrong codes came from here", Hint: "wait " + lasting(wait) + ", then try again", Wait: wait}
}

func lasting(d time.Duration) string {
	if s := seconds(d); s < 120 {
		return fmt.Sprintf("%d s", s)
	}
	return fmt.Sprintf("%d min", (seconds(d)+59)/60)
}
