// Package tape knows how what samples came to is told once more without the samples.
//
// Terms. A tape holds, in the order in which it came, what was told to those who know no
// samples, and each answer that they were given. It is a row of marks, each of which says
// what comes next; behind a mark stand the numbers and values that belong to it. Who plays
// a tape asks the same questions in the same order: where a mark is another one than is
// asked for, the tape does not fit, and nothing that was played from it counts.
//
// Numbers stand in columns, those that are alike in one, so that they pack well. Nothing
// here knows where a tape is kept.
package tape

import "fmt"

// Mark says what comes next on a tape.
type Mark uint8

// End is a mark that no writer writes: a tape that is over gives it.
const End Mark = 0

// Column is where numbers of one kind stand.
type Column uint8

// Columns is how many columns a tape has.
const Columns = 16

// Writer takes a tape.
type Writer interface {
	// Mark begins something.
	Mark(m Mark)
	// Number adds to a column what belongs to the last mark.
	Number(c Column, x int64)
	// Value adds the value that a pointer points to.
	Value(of any)
}

// Reader gives back what a Writer took, in the same order.
type Reader interface {
	Mark() Mark
	Number(c Column) int64
	// Value sets what a pointer points to.
	Value(of any)
}

// misfit is thrown where a tape does not fit to what is asked of it.
type misfit string

// Error implements error.
func (m misfit) Error() string { return "tape: " + string(m) }

// Misfit gives up a tape, from however deep in what it plays to; Playing catches it.
func Misfit(format string, arg ...any) { panic(misfit(fmt.Sprintf(format, arg...))) }

// Playing plays a tape, and returns why it does not fit, nil where it does.
func Playing(play func()) (err error) {
	defer func() {
		if thrown := recover(); thrown != nil {
			does, no := thrown.(misfit)
			if !no {
				panic(thrown)
			}
			err = does
		}
	}()
	play()
	return nil
}

// Expect reads the next mark, which must be one.
func Expect(from Reader, m Mark) {
	if next := from.Mark(); next != m {
		Misfit("%d is asked for, and %d comes", m, next)
	}
}
