package link

import "fmt"

// Kind says what is wrong with a run.
type Kind uint8

// The kinds of error, in the order in which a run is checked.
const (
	TooLong     Kind = iota + 1 // longer than a frame or line may be, or no delimiter at all
	NotCOBS                     // a COBS code points behind the end of the run
	NotALine                    // a text line without the marks of its link
	TooShort                    // no room for header and checksum
	BadChecksum                 // the checksum does not match
	BadVersion                  // a frame of a version that is not known here
	BadType                     // a line of a type that is not known here
	BadLength                   // the body is not as long as its header says
	BadValue                    // a field is no number, or out of its range
	BadHello                    // the box's description of itself cannot be used
)

// String returns the kind in words.
func (k Kind) String() string {
	switch k {
	case TooLong:
		return "too long"
	case NotCOBS:
		return "not COBS"
	case NotALine:
		return "not a line of this link"
	case TooShort:
		return "too short"
	case BadChecksum:
		return "checksum does not match"
	case BadVersion:
		return "version is not known"
	case BadType:
		return "type is not known"
	case BadLength:
		return "body has the wrong length"
	case BadValue:
		return "value is out of range"
	case BadHello:
		return "description of the box cannot be used"
	default:
		return "unknown kind of error"
	}
}

// Error is a run of bytes that gave no reading.
type Error struct {
	Kind   Kind
	Offset int64  // of its first byte, counted from the start of the stream
	Bytes  int    // lost with it, its delimiter among them
	Detail string // which field, which value; may be empty
}

// Error returns kind, place and detail in one line.
func (e *Error) Error() string {
	text := fmt.Sprintf("link: %d bytes lost at offset %d: %s", e.Bytes, e.Offset, e.Kind)
	if e.Detail != "" {
		text += ": " + e.Detail
	}
	return text
}

// flaw is an Error before its place is known; nil is none.
type flaw struct {
	kind   Kind
	detail string
}

func flawf(kind Kind, format string, args ...any) *flaw {
	return &flaw{kind, fmt.Sprintf(format, args...)}
}

// in returns the flaw of the run at offset at as an error, or nil.
func (f *flaw) in(run []byte, at int64) *Error {
	if f == nil {
		return nil
	}
	const delimiter = 1
	return &Error{Kind: f.kind, Offset: at, Bytes: len(run) + delimiter, Detail: f.detail}
}
