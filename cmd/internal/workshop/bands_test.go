package workshop

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/analyze/plausible"
	"arctally/cmd/internal/check"
	"arctally/report/page/form"
)

// TestBands_OneForEveryQuantityThatIsTyped: job, procedure, checks, notes and the machined
// bore have no field of a quantity of which nobody says what is usual, and no band is for
// nothing.
func TestBands_OneForEveryQuantityThatIsTyped(t *testing.T) {
	typed := []string{
		"check.gain", "check.beyond", // what a check comes to
		"note.temperature", "note.gas_flow", "note.torch_at",
		"machining.depth", "machining.angle", "machining.diameter", "machining.wanted", "machining.uncertainty",
	}
	for _, kind := range form.Kinds {
		for _, group := range form.Of(kind).Groups {
			for _, f := range group.Fields {
				if number := f.Kind == form.Quantity || f.Kind == form.Range || f.Kind == form.Number; number && group.Repeated != "sensors" {
					typed = append(typed, strings.Replace(strings.TrimPrefix(group.Repeated+"."+f.Key, "."), "deposit.gaps.", "gap.", 1))
				}
			}
		}
	}
	typed = append(typed, "bore.axis") // a word, or an angle
	for _, kind := range (&workshop{}).CheckKinds() {
		for _, f := range kind.Fields {
			switch {
			case f.Kind != form.Quantity && f.Kind != form.List:
			case slices.Contains([]string{"reading", "reference", "reference-uncertainty", "resolution"}, f.Key) && kind.Kind != "wire-speed":
				for _, c := range check.Channels {
					if c.Zero || kind.Kind != "zero" {
						typed = append(typed, kind.Kind+"."+c.Name+"."+f.Key)
					}
				}
			default:
				typed = append(typed, kind.Kind+"."+f.Key)
			}
		}
	}
	typed = append(typed, "meter.reference-uncertainty") // as a share
	var known []string
	for _, b := range plausible.Bands {
		known = append(known, b.What)
	}
	assert.ElementsMatch(t, typed, known)
}
