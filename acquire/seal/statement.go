package seal

import (
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// Mark says why a seal was set.
type Mark string

// The marks.
const (
	Start  Mark = "start"  // a program began to write, or to write again
	Minute Mark = "minute" // a minute has gone
	Entry  Mark = "entry"  // a person put something on record
	End    Mark = "end"    // the record was closed
)

// Statement is what a seal says.
type Statement struct {
	Record  string // the hash of the first commit group: which record it is
	Group   int64  // the last commit group that is sealed
	Head    string // its hash, which stands for all groups through it
	At      time.Time
	Mark    Mark
	Person  bool // whose key it is: a person's, or a machine's
	By      string
	Entries []int64 // that are vouched for, where the mark is Entry
}

// first is the first line of every statement: the version of its form.
const first = "arctally seal 1"

// Text is the statement as it is signed.
func (s *Statement) Text() string {
	who := "machine"
	if s.Person {
		who = "person"
	}
	lines := []string{
		first,
		"record: " + s.Record,
		"group: " + strconv.FormatInt(s.Group, 10),
		"head: " + s.Head,
		"at: " + s.At.UTC().Format(time.RFC3339Nano),
		"mark: " + string(s.Mark),
		who + ": " + s.By,
	}
	if s.Mark == Entry {
		numbers := make([]string, len(s.Entries))
		for k, n := range s.Entries {
			numbers[k] = strconv.FormatInt(n, 10)
		}
		lines = append(lines, "entries: "+strings.Join(numbers, " "))
	}
	return strings.Join(lines, "\n") + "\n"
}

// Parse reads a statement. It has one form only.
func Parse(text string) (*Statement, error) {
	lines := strings.Split(text, "\n")
	var s Statement
	for _, line := range lines {
		name, value, _ := strings.Cut(line, ": ")
		if err := s.take(name, value); err != nil {
			return nil, err
		}
	}
	if s.Text() != text || !slices.Contains([]Mark{Start, Minute, Entry, End}, s.Mark) || len(s.Head) != 64 || len(s.Record) != 64 {
		return nil, errors.New("a text that is no seal")
	}
	return &s, CheckName(s.By)
}

// take reads one line.
func (s *Statement) take(name, value string) (err error) {
	switch name {
	case "record":
		s.Record, err = digits(value)
	case "head":
		s.Head, err = digits(value)
	case "group":
		s.Group, err = strconv.ParseInt(value, 10, 64)
	case "at":
		s.At, err = time.Parse(time.RFC3339Nano, value)
	case "mark":
		s.Mark = Mark(value)
	case "machine", "person":
		s.Person, s.By = name == "person", value
	case "entries":
		for number := range strings.FieldsSeq(value) {
			n, err := strconv.ParseInt(number, 10, 64)
			if err != nil {
				return err
			}
			s.Entries = append(s.Entries, n)
		}
	}
	return err
}

// digits gives hexadecimal digits back as they are written: in small letters.
func digits(value string) (string, error) {
	b, err := hex.DecodeString(value)
	return hex.EncodeToString(b), err
}

// MaxName is the most bytes that the name of a signer may have.
const MaxName = 100

// CheckName refuses a name that could be read as something else in a statement or in a
// file of allowed signers.
func CheckName(name string) error {
	if name == "" || len(name) > MaxName || strings.TrimSpace(name) != name {
		return fmt.Errorf("a name of a signer has 1 to %d bytes, and no space at its ends", MaxName)
	}
	for _, r := range name {
		if !unicode.IsPrint(r) || strings.ContainsRune(`",*?!#\`, r) {
			return fmt.Errorf("the name of a signer cannot have the letter %q", r)
		}
	}
	return nil
}
