package sheet

import "arctally/analyze/bore"

// The classes that are no step of stock.
const (
	shortClass = iota
	doubtfulClass
	unseenClass
	firstStep
)

// stockClasses sort fields into shades by the worst of their cells: too little,
// closer than can be told, or one of a few steps above.
type stockClasses struct {
	fields
	judged    bool
	allowance bore.Allowance
	steps
}

func newStockClasses(f fields, clean bore.CleanUp, unit string, decimals int) stockClasses {
	c := stockClasses{fields: f, judged: clean.Answer != "", allowance: f.m.NewAllowance(clean.Eccentricity)}
	c.steps = newSteps(f, unit, decimals, func(row, column int) *float64 {
		if c.answered(row, column) != firstStep {
			return nil
		}
		return in(f.least(row, column, stockOf(f.m)), unit)
	})
	return c
}

// of returns the class of a field, -1 where there is nothing to show.
func (c stockClasses) of(row, column int) int {
	class, least := c.answered(row, column), c.least(row, column, stockOf(c.m))
	switch {
	case class != firstStep:
		return class
	case least == nil:
		return -1
	default:
		return firstStep + c.index(*in(least, c.unit))
	}
}

// answered returns the class by the worst answer of the cells that are judged.
func (c stockClasses) answered(row, column int) int {
	f, class := c.fields, firstStep
	if f.notSeen(row, column) {
		class = unseenClass
	}
	if !c.judged {
		return class
	}
	f.each(row, column, func(r, col int) {
		if f.m.BesideGap(col) || f.m.At(r, col).NotSeen() {
			return
		}
		switch f.m.CellAnswer(r, col, c.allowance) {
		case bore.TooLittle:
			class = shortClass
		case bore.Doubtful:
			class = min(class, doubtfulClass)
		}
	})
	return class
}

// shades are all classes with their words; the template leaves those out that
// nothing is in.
func (c stockClasses) shades() []shade {
	return append([]shade{
		shortClass:    {Class: "short", Words: "too little"},
		doubtfulClass: {Class: "doubtful", Words: "closer than can be told"},
		unseenClass:   {Class: "unseen", Words: "data is missing"},
	}, c.steps.shades()...)
}
