package form

import (
	"maps"
	"strings"

	"arctally/acquire/quantity"
	"arctally/analyze/plausible"
	"arctally/analyze/procedure"
)

// sure begins the keys of values that are said again on purpose.
const sure = "sure."

// typed are values as the file is to have them: without blanks around, with decimal
// points, and with nothing said again of a value that is another one now.
func (c *change) typed(values map[string]string) map[string]string {
	clean := make(map[string]string, len(values))
	for key, value := range values {
		clean[key] = strings.TrimSpace(value)
		if field, ok := c.form.fieldOf(strings.TrimPrefix(key, sure)); ok && field.isNumber() {
			if pointed, err := quantity.Pointed(clean[key]); err == nil { // what may be two things is left for the parser to refuse
				clean[key] = pointed
			}
		}
	}
	for key, n := range c.tree.values {
		if _, named := clean[key]; !named && strings.HasPrefix(key, sure) {
			clean[key] = strings.TrimSpace(n.Value)
		}
	}
	for key := range maps.Clone(clean) {
		of, again := strings.CutPrefix(key, sure)
		now, named := clean[of]
		if n := c.tree.values[of]; !named && n != nil {
			now = strings.TrimSpace(n.Value)
		}
		if again && clean[key] != now {
			clean[key] = ""
		}
	}
	return clean
}

// startAngle is where a job says at which angle the torch starts.
const startAngle = "rotation.start_angle"

// firstStroke is the start angle of a job that is laid in strokes and names none: the
// first of them begins there. It is empty for any other.
func (c *change) firstStroke(kind Kind, text []byte) string {
	if kind != Job || c.tree.values[startAngle] != nil {
		return ""
	}
	job, err := procedure.ParseJob("", text)
	if err != nil {
		return ""
	}
	begin, ok := job.FirstStroke()
	if !ok {
		return ""
	}
	return quantity.Text(begin, "deg", -1)
}

// isNumber tells whether a field is filled in with numbers.
func (f Field) isNumber() bool { return f.Kind == Quantity || f.Kind == Range || f.Kind == Number }

// Doubts returns the values of a text that are outside of what is usual and are not said
// again on purpose, each with what keeps it. A text that cannot be read has none.
func Doubts(kind Kind, text []byte) []Problem {
	var doubts []*plausible.Doubt
	if kind == Job {
		if j, err := procedure.ParseJob("", text); err == nil {
			doubts = j.Typed.Doubts
		}
	} else if p, err := procedure.ParseProcedure("", text); err == nil {
		doubts = p.Typed.Doubts
	}
	problems := make([]Problem, len(doubts))
	for k, d := range doubts {
		problems[k] = Problem{Field: d.Field, Reason: d.Sentence(), Keep: d.Value}
	}
	return problems
}
