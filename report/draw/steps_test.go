package draw

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

func TestSteps(t *testing.T) {
	f := sheet.Coarse(sheettest.Map(), 1, mapRows)
	for name, c := range map[string]struct {
		low, high float64
		words     []string
	}{
		"one value":    {1.3, 1.3, []string{"1.30 to 1.31 mm"}},
		"a few":        {0.55, 1.4, []string{"0.40 to 0.60 mm", "0.60 to 0.80 mm", "0.80 to 1.00 mm", "1.00 to 1.20 mm", "1.20 to 1.40 mm", "1.40 to 1.60 mm"}},
		"below zero":   {-1, 2, []string{"-1.00 to 0.00 mm", "0.00 to 1.00 mm", "1.00 to 2.00 mm", "2.00 to 3.00 mm"}},
		"far too many": {0, 99, []string{"0.00 to 20.00 mm", "20.00 to 40.00 mm", "40.00 to 60.00 mm", "60.00 to 80.00 mm", "80.00 to 100.00 mm"}},
	} {
		s := newSteps(f, sheet.Unit{Name: "mm", Digits: 2}, func(_ sheet.Fields, row, _ int) *float64 {
			if row == 0 {
				return &c.low
			}
			return &c.high
		})
		shades := s.shades()
		var words []string
		classes := map[string]bool{}
		for _, one := range shades {
			words, classes[one.class] = append(words, one.words), true
		}
		assert.Equal(t, c.words, words, name)
		assert.Len(t, classes, len(shades), "each step has a grey of its own")
		assert.Equal(t, 0, s.index(c.low), name)
		assert.Equal(t, len(shades)-1, s.index(c.high), name)
	}
	assert.Equal(t, 1, newSteps(f, sheet.Unit{Name: "mm", Digits: 2}, func(sheet.Fields, int, int) *float64 { return nil }).count, "no value at all")
}
