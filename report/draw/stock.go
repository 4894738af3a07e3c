package draw

import (
	"arctally/analyze/bore"
	"arctally/report/sheet"
)

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
	sheet.Fields
	judged    bool
	allowance bore.Allowance
	steps
}

func newStockClasses(f sheet.Fields, clean bore.CleanUp, unit sheet.Unit) stockClasses {
	c := stockClasses{Fields: f, judged: clean.Answer != "", allowance: f.Wall.NewAllowance(clean.Eccentricity)}
	c.steps = newSteps(f, unit, func(f sheet.Fields, row, column int) *float64 {
		if c.answered(row, column) != firstStep {
			return nil
		}
		return sheet.In(f.Least(row, column, sheet.StockOf(f.Wall)), unit.Name)
	})
	return c
}

func (c stockClasses) fieldsOf() sheet.Fields { return c.Fields }

// of returns the class of a field, -1 where there is nothing to show.
func (c stockClasses) of(row, column int) int {
	class, least := c.answered(row, column), c.Least(row, column, sheet.StockOf(c.Wall))
	switch {
	case class != firstStep:
		return class
	case least == nil:
		return -1
	default:
		return firstStep + c.index(*sheet.In(least, c.unit.Name))
	}
}

// answered returns the class by the worst answer of the cells that are judged.
func (c stockClasses) answered(row, column int) int {
	f, class := c.Fields, firstStep
	if f.NotSeen(row, column) {
		class = unseenClass
	}
	if !c.judged {
		return class
	}
	f.Each(row, column, func(r, col int) {
		if f.Wall.BesideGap(col) || f.Wall.At(r, col).NotSeen() {
			return
		}
		switch f.Wall.CellAnswer(r, col, c.allowance) {
		case bore.TooLittle:
			class = shortClass
		case bore.Doubtful:
			class = min(class, doubtfulClass)
		}
	})
	return class
}

// shades are all classes with their words; the drawing leaves those out that
// nothing is in.
func (c stockClasses) shades() []shade {
	return append([]shade{
		shortClass:    {"short", "too little"},
		doubtfulClass: {"doubtful", "closer than can be told"},
		unseenClass:   {"unseen", "data is missing"},
	}, c.steps.shades()...)
}
