package record

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"arctally/acquire/seal"
)

// Sealed is a seal as it stands in a record.
type Sealed struct {
	seal.Statement
	Key       seal.Public
	In        int64 // the commit group that holds it
	Signature []byte
}

// Sealing is what a record that is whole says of who sealed it.
type Sealing struct {
	Groups int64
	Head   [sha256.Size]byte // of the last group, which stands for all of them
	Seals  []Sealed
	Found  []Stretch
	// The commit groups that were written, by the machine's clock, clearly before the group
	// before them: somebody set the clock back.
	Backwards []int64
}

// Stretch are commit groups that were under no seal when somebody went on with the record,
// after a crash, a program without a key, or an older one: he sealed them as he found them.
type Stretch struct {
	First, Last int64
	By          Sealed // the first seal that covers them
}

// Ended tells whether an end mark stands at the end of the record.
func (s *Sealing) Ended() bool {
	n := len(s.Seals)
	return n > 0 && s.Seals[n-1].Mark == seal.End && s.Seals[n-1].In == s.Groups
}

// Open returns how many groups no seal covers, but for one that is only an end mark.
func (s *Sealing) Open() int64 {
	switch n := len(s.Seals); {
	case n == 0:
		return s.Groups
	case s.Ended():
		return 0
	default:
		return s.Groups - s.Seals[n-1].Group
	}
}

// Reopened returns the end marks behind which somebody went on.
func (s *Sealing) Reopened() (marks []Sealed) {
	for _, one := range s.Seals {
		if one.Mark == seal.End && one.In < s.Groups {
			marks = append(marks, one)
		}
	}
	return marks
}

// VerifySeals is Verify, and says who sealed what.
func (r *Reader) VerifySeals() (*Sealing, error) {
	err := inspectFile(r.path, r.db)
	var found *Sealing
	if err == nil {
		found, err = r.verify()
	}
	if changed := r.unchanged(); changed != nil {
		return nil, changed // what was found may be half of one state and half of another
	}
	return found, err
}

// GroupOf returns the commit group that has a head, which stands for all groups through
// it; 0 is none.
func (r *Reader) GroupOf(head [sha256.Size]byte) (number int64, err error) {
	err = r.each("SELECT number FROM commits WHERE hash = ?", []any{head[:]}, func(scan func(...any) error) error { return scan(&number) })
	return number, err
}

// clockSlack is by how much a clock that is kept right by others may go back without
// anybody's doing: they set it in steps. Ours, no source.
const clockSlack = time.Second

// sealVerifier holds the seals of a record against its chain, group by group.
type sealVerifier struct {
	found   Sealing
	record  string
	rows    [][]any  // of seals, in the group
	by      []string // who put the entries of the group on record
	before  []string // and those of the group before
	entries int64    // numbered before these
	wall    int64

	writing *seal.Public // the key with which the program seals that writes, from its first seal to its end mark
	bare    Stretch      // the groups behind the last seal of who wrote them; First 0 is none
}

// take notes a row that seals are about.
func (v *sealVerifier) take(t *table, values []any) {
	switch t {
	case &sealsTable:
		v.rows = append(v.rows, slices.Clone(values))
	case &entriesTable:
		by, _ := values[3].(string)
		v.by = append(v.by, by)
	}
}

// group checks the seals that a group holds: they seal the group before it, whose head is
// given.
func (v *sealVerifier) group(number int64, former string, head []byte, columns []any) error {
	if number == 1 {
		v.record = hex.EncodeToString(head)
	}
	wall, _ := columns[1].(int64)
	if number > 1 && v.wall-wall > clockSlack.Nanoseconds() {
		v.found.Backwards = append(v.found.Backwards, number)
	}
	v.wall, v.found.Groups = wall, number
	copy(v.found.Head[:], head)
	for _, row := range v.rows {
		if err := v.seal(number, former, row, columns); err != nil {
			return err
		}
	}
	if len(v.rows) == 0 || !v.alone(columns) {
		if v.bare.First == 0 {
			v.bare.First = number
		}
		v.bare.Last = number
	}
	v.entries += int64(len(v.before))
	v.rows, v.before, v.by = v.rows[:0], v.by, nil
	return nil
}

func (v *sealVerifier) seal(number int64, former string, row, columns []any) error {
	text, _ := row[1].(string)
	signature, _ := row[2].([]byte)
	s, err := seal.Parse(text)
	if err != nil {
		return err
	}
	key, err := seal.Verify([]byte(text), signature)
	switch {
	case err != nil:
		return err
	case s.Record != v.record:
		return fmt.Errorf("it is of another record")
	case s.Group != number-1 || s.Head != former:
		return fmt.Errorf("it is of group %d, whose hash was another one", s.Group)
	case s.At.UnixNano() != columns[1]:
		return fmt.Errorf("it was set at %s, and its group was written at another time", s.At.Format(time.RFC3339))
	case (s.Mark == seal.Entry || s.Mark == seal.End) && !v.alone(columns):
		return fmt.Errorf("its group holds more than seals")
	case s.Mark == seal.Entry && !v.vouched(s):
		return fmt.Errorf("it vouches for entries that %s did not put on record in the group before", s.By)
	}
	one := Sealed{*s, key, number, signature}
	v.found.Seals = append(v.found.Seals, one)
	v.witness(one)
	return nil
}

// witness notes which groups a seal covers whose writing who sealed has not seen. A program
// that makes a record has written the first group of it before it can seal.
func (v *sealVerifier) witness(s Sealed) {
	own := v.writing != nil && *v.writing == s.Key && s.Mark != seal.Start
	if v.writing != nil && s.Person {
		return // who writes seals on, and says what he saw
	}
	if !own && v.bare.First > 0 && s.Group > 1 {
		v.bare.By = s
		v.found.Found = append(v.found.Found, v.bare)
	}
	v.bare = Stretch{}
	if v.writing = &s.Key; s.Person || s.Mark == seal.End {
		v.writing = nil
	}
}

// alone tells whether a group holds nothing but seals, which no seal in it covers.
func (v *sealVerifier) alone(columns []any) bool {
	zero := int64(0)
	return slices.Equal(columns[2:9], []any{zero, nil, nil, zero, zero, zero, int64(len(v.rows))})
}

// vouched tells whether the entries that a seal names are in the group before it, and, where
// a person sealed them, that person's.
func (v *sealVerifier) vouched(s *seal.Statement) bool {
	for _, n := range s.Entries {
		k := n - v.entries - 1
		if k < 0 || k >= int64(len(v.before)) || s.Person && v.before[k] != s.By {
			return false
		}
	}
	return len(s.Entries) > 0
}
