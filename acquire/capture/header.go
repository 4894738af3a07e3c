package capture

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// binding joins a role with the option that may name it and the place where
// the column found is kept.
type binding struct {
	role   role
	option string
	column *column
}

func (s *sniffer) required() []binding {
	b := []binding{{voltageRole, s.o.Voltage, &s.voltage}, {currentRole, s.o.Current, &s.current}}
	if s.rate == 0 {
		b = append(b, binding{timeRole, s.o.Time, &s.time})
	}
	return b
}

func (s *sniffer) optional() []binding {
	return []binding{
		{flagRole, s.o.ArcFlag, &s.flag},
		{speedRole, s.o.WireSpeed, &s.wireSpeed},
		{lengthRole, s.o.WireLength, &s.wireLength},
		{turnsRole, s.o.Turns, &s.turns},
		{positionRole, s.o.Position, &s.position},
		{travelRole, s.o.Travel, &s.travel},
	}
}

// needsHeader reports whether names are used, or columns must be guessed.
func (s *sniffer) needsHeader() bool {
	for _, b := range s.required() {
		if b.option == "" || (reference{b.role.flag, b.option}).names() {
			return true
		}
	}
	for _, b := range s.optional() {
		if b.option != "" && (reference{b.role.flag, b.option}).names() {
			return true
		}
	}
	return false
}

// findHeader binds the columns and returns the index of the first row after
// the header, or 0 where no header is needed.
func (s *sniffer) findHeader() (int, error) {
	if !s.needsHeader() {
		if err := s.bind(nil); err != nil {
			return 0, s.explain(s.firstRow(), err)
		}
		return 0, nil
	}
	var first error
	var firstAt *headRow
	firstColumns := 0
	for i := range s.rows[:min(len(s.rows), headerRows)] {
		row := &s.rows[i]
		fields := split(bytes.TrimLeft(row.text, "# \t"), s.separator, nil)
		if len(fields) < 2 || row.comment && len(fields) != s.columns {
			continue
		}
		err := s.bind(fields)
		if err == nil {
			s.header = fields
			return i + 1, nil
		}
		if !row.comment && (firstAt == nil || firstColumns != s.columns && len(fields) == s.columns) {
			first, firstAt, firstColumns = err, row, len(fields)
		}
	}
	if firstAt == nil {
		firstAt, first = s.firstRow(), errors.New("no header was found")
	}
	return 0, s.explain(firstAt, first)
}

// bind looks up every column that is named, and guesses the others.
func (s *sniffer) bind(header [][]byte) error {
	columns := max(s.columns, len(header))
	for _, b := range append(s.required(), s.optional()...) {
		*b.column = column{}
		if b.option == "" {
			continue
		}
		c, err := reference{b.role.flag, b.option}.resolve(header, columns)
		if err != nil {
			return err
		}
		if err := b.joinable(c); err != nil {
			return err
		}
		if last := c.at[len(c.at)-1]; last >= s.columns {
			return fmt.Errorf("%s %q is column %d, but the rows have only %d", b.role.flag, b.option, last+1, s.columns)
		}
		*b.column = c
	}
	return s.guessRequired(header)
}

// joinable refuses more columns than a quantity has parts.
func (b binding) joinable(c column) error {
	switch b.role.word {
	case timeRole.word:
		return nil
	case positionRole.word:
		if len(c.at) > mostAxes {
			return fmt.Errorf("%s %q: a position has one column to three, x, y and z", b.role.flag, b.option)
		}
		return nil
	}
	if len(c.at) > 1 {
		return fmt.Errorf("%s %q: only a time, or a position, may be joined from several columns", b.role.flag, b.option)
	}
	return nil
}

func (s *sniffer) guessRequired(header [][]byte) error {
	var missing []string
	for _, b := range s.required() {
		if b.option != "" {
			continue
		}
		look := b.role.look
		if b.role.word == timeRole.word {
			look = lookTime
		}
		c, err := look(header)
		if err != nil {
			return err
		}
		if !c.given() {
			missing = append(missing, b.role.flag)
		}
		*b.column = c
	}
	if len(missing) > 0 {
		return &unnamed{missing}
	}
	return nil
}

// unnamed are the flags of columns that nobody named.
type unnamed struct{ flags []string }

func (u *unnamed) Error() string {
	return "the columns for " + strings.Join(u.flags, ", ") + " are not known"
}

// explain shows the row that should have named the columns.
func (s *sniffer) explain(row *headRow, err error) error {
	fields := split(bytes.TrimLeft(row.text, "# \t"), s.separator, nil)
	return s.fail(row.number,
		"name the columns by number or header: --time N --time-layout unix (or --rate \"50 kHz\" where there is no time) "+
			"--voltage N --current N, and --arc N where a column says that the arc burns; N*FACTOR for other units than V and A",
		"%v; the line has %s", err, numbered(fields))
}

// guessOptional takes what a header offers beyond what was asked for, where
// there is no doubt.
func (s *sniffer) guessOptional(sample [][]byte) {
	for _, b := range s.optional() {
		if b.option != "" || s.header == nil {
			continue
		}
		c, err := b.role.look(s.header)
		switch {
		case err != nil:
			s.notes = append(s.notes, err.Error())
		case !c.given() || c.at[0] >= s.columns || s.taken(c.at[0]):
		case b.role.word == flagRole.word && !isFlag(sample[c.at[0]], s.point):
		default:
			*b.column = c
		}
	}
}

func isFlag(field []byte, point byte) bool {
	_, ok := parseFlag(trim(field), point)
	return ok
}

// taken reports whether an option has given the column another meaning.
func (s *sniffer) taken(at int) bool {
	for _, c := range []column{s.voltage, s.current, s.flag, s.wireSpeed, s.wireLength, s.turns, s.position, s.travel} {
		if slices.Contains(c.at, at) {
			return true
		}
	}
	return slices.Contains(s.time.at, at)
}
