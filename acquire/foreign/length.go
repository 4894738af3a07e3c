package foreign

import (
	"fmt"
	"unicode/utf8"
)

// How many letters a text has at most. Ours, no source.
const (
	// LongestName is that of a name: as many as the name of a file has. Nobody's, and no
	// batch's, is longer; and a certificate has room for no more.
	LongestName = 255
	// LongestSigned is that of a name as it stands on record: behind what was typed, the device at
	// which it was, with its role.
	LongestSigned = LongestName + 64
	// LongestRemark is that of what a person says in sentences: a page of it.
	LongestRemark = 4000
)

// LengthError is a text that is longer than it may be.
type LengthError struct {
	Field   string // empty where who reads it knows
	Letters int
	Most    int
}

// Error implements error.
func (e *LengthError) Error() string {
	text := fmt.Sprintf("it has %d letters; %d are the most", e.Letters, e.Most)
	if e.Field != "" {
		return e.Field + ": " + text
	}
	return text
}

// Hint says what to do.
func (e *LengthError) Hint() string { return "say it in fewer letters" }

// Fits refuses a text that is longer than it may be.
func Fits(field, text string, most int) error {
	if len(text) <= most {
		return nil
	}
	if letters := utf8.RuneCountInString(text); letters > most {
		return &LengthError{field, letters, most}
	}
	return nil
}

// Shortened cuts a text of a record that was made before there was a limit, and says so.
func Shortened(text string, most int) string {
	if Fits("", text, most) == nil {
		return text
	}
	letters := []rune(text)
	return fmt.Sprintf("%s... (shortened, %d letters in all)", string(letters[:most]), len(letters))
}
