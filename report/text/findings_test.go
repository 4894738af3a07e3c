package text

import (
	"io"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// What is chosen is said, and what is left out is not shown; in brief an event is a line.
func TestChosen(t *testing.T) {
	s := sheettest.New()
	chosen := func(c sheet.Choice, brief bool) string {
		return sheettest.Render(t, func(w io.Writer) error { return Chosen(w, s, sheet.Metric, c, brief) })
	}
	one := chosen(sheet.Choice{Cause: "gas"}, false)
	assert.Contains(t, one, "chosen: 1 of 7 events, 1 of 7 findings\n")
	assert.Contains(t, one, "event 4: loss of gas, pass 2, layer 2, from 4 ±2.5 deg at 33.0 mm depth; finding 4; open\n")
	assert.NotContains(t, one, "event 1:")
	assert.Contains(t, chosen(sheet.Choice{Pass: 9}, false), "(none)")
	brief := chosen(sheet.Choice{}, true)
	assert.NotContains(t, brief, "chosen:")
	assert.Contains(t, brief, "event findings open    start state cause\n")
	assert.Contains(t, brief, "    4        1    1 08:19:06 open  loss of gas\n"+indent+"pass 2, layer 2, from 4 ±2.5 deg at 33.0 mm depth; worst gas flow 9.0 L/min, limit 12.0 L/min\n")
}
