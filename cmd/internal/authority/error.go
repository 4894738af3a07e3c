package authority

// Error is a file of a key or a certificate that is not taken.
type Error struct {
	File   string
	Reason string
	Next   string // what to do; empty is what is done about the authority
}

// Error implements error.
func (e *Error) Error() string { return e.File + ": " + e.Reason }

// Hint says what to do.
func (e *Error) Hint() string {
	if e.Next != "" {
		return e.Next
	}
	return "have another authority made: arctally serve --new-authority; each tablet has to fetch it then"
}
