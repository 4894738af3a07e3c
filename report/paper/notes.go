package paper

import (
	"fmt"
	"strconv"
	"strings"

	"arctally/acquire/series"
	"arctally/analyze/heat"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
)

// typedIn shows what people typed in, nil where they did not.
func (r *record) typedIn() *section {
	if len(r.Typed) == 0 {
		return nil
	}
	t := &table{Class: "warnings", Columns: lefts("What", "When", "By", "Stands for")}
	for k := range r.Typed {
		n := &r.Typed[k]
		t.Rows = append(t.Rows, named(n.SaidFor(r.units), strings.TrimSpace(n.Held.Date()+" "+n.Held.Clock()), n.By, r.typedFor(k)))
	}
	return &section{Heading: "Typed in", blocks: []block{t, note("A person measured or saw this; no sensor did. " +
		"A temperature stands for the pass that begins next, if it was taken after the one before had ended; a gas flow until the next one.")}}
}

// typedFor says for which passes a value stands.
func (r *record) typedFor(k int) string {
	if n := &r.Typed[k]; n.Text != "" || n.TorchAt != nil || n.EndOfPass {
		return sheet.Dash
	}
	var numbers []string
	for _, pass := range r.StandsFor(k) {
		numbers = append(numbers, strconv.Itoa(pass))
	}
	switch len(numbers) {
	case 0:
		return "no pass"
	case 1:
		return "pass " + numbers[0]
	default:
		return "passes " + strings.Join(numbers, ", ")
	}
}

// restsOn says what the numbers rest on, and what was not known.
func (r *record) restsOn() *section {
	s := &section{Heading: "What the numbers rest on", blocks: []block{bullets{Items: r.basisLines()}, subheading("What was not known")}}
	if len(r.Warnings) == 0 {
		s.blocks = append(s.blocks, sentence("The measurement raised no doubt."))
		return s
	}
	t := &table{Class: "warnings", size: 8, Columns: []column{left("Doubt"), left("Pass"), left("When"), right("Count"), {Name: "What it means", least: 60}}}
	for i := range r.Warnings {
		w := &r.Warnings[i]
		count := sheet.Dash
		if w.Count > 0 {
			count = strconv.FormatInt(w.Count, 10)
		}
		t.Rows = append(t.Rows, named(sheet.Spaced(w.Kind), sheet.Count(w.Warning.Pass), sheet.OrDash(w.When()), count, w.Text))
	}
	s.blocks = append(s.blocks, t)
	return s
}

// basisLines say what the power and the travel of this job rest on.
func (r *record) basisLines() []string {
	if len(r.Passes) == 0 {
		return nil
	}
	power, travel := r.Bases()
	lines := []string{
		"Power: " + power + ". Instantaneous power is the mean of voltage times current of samples taken together; " +
			"average power is the mean of voltage times current as read, where readings are means or slower than 1 kHz, which on a dipping or pulsed arc can be off either way, and no correction is known for it.",
		"Travel: " + travel + ". Measured is by turn pulses, derived is by the once-a-turn rhythm of the signal itself, declared is the plan.",
	}
	for _, line := range r.AngleLines() {
		lines = append(lines, strings.ToUpper(line[:1])+line[1:]+".")
	}
	if r.Job.Procedure.Judge.Power == series.Instantaneous && power != series.Instantaneous.String() {
		lines = append(lines, "The procedure's limits rest on instantaneous power; the power above does not for every pass.")
	}
	if travel == string(heat.TravelDeclared) {
		lines = append(lines, "No travel speed was measured: heat input per length is as good as the declared travel.")
	}
	if caution := r.CoolingCaution(); caution != "" {
		lines = append(lines, caution)
	}
	return lines
}

// cautions are dangers, and what to do about each.
func (r *record) cautions() *section {
	return &section{Heading: "Cautions", Class: "cautions", framed: true, blocks: []block{leads{
		{"Follow the local codes, the qualified procedure and licensed practice.", "This record supports them and replaces none of them."},
		{"It is no safety device.", "It cannot stop an arc, and a live value on a screen does not mean that a lead is dead."},
		{"Arc:", "eye and skin burns. Shield the bore and screen the bystanders."},
		{"Live leads:", "the open-circuit voltage stands on the torch and on the sensing leads. Connect and disconnect with the power source off and locked out."},
		{"Fumes:", "a bore is a confined place for gas and smoke. Extract at the bore, check the air, and do not let shielding gas gather below."},
		{"Fire watch:", "clear grease, oil and hoses; keep the watch on after the last arc for as long as the site rules say."},
		{"Stray current:", "clamp the return lead to the part being welded. Current that finds its way through bearings, slew rings or hydraulics destroys them; " +
			"disconnect the machine's electronics and battery as its maker says."},
		{"Heat:", "check preheat and interpass temperature on the steel itself."},
		{"Boring:", "the bar and the chips maim. Measure before the cut where this record says that data is missing."},
	}}}
}

// signatures are lines to sign on, one for each role.
type signatures []string

// signed is what each of them writes.
var signed = [3]string{"name", "signature", "date"}

func (signatures) kind() string               { return "signatures" }
func (s signatures) print(d *layout.Document) { d.Signatures(s, signed) }

// Lines say who writes what, for the page.
func (s signatures) Lines() (lines []string) {
	for _, role := range s {
		lines = append(lines, role+": "+strings.Join(signed[:], ", "))
	}
	return lines
}

// fingerprint says how a reader finds out whether paper and record belong together.
func (r *record) fingerprint() *section {
	name := sheet.OrDash(r.Record)
	s := &section{Heading: "Fingerprint of the record"}
	if r.Fingerprint == "" {
		s.blocks = []block{sentence("No fingerprint was taken of this record, so nothing ties this paper to the file " + name + ".")}
		return s
	}
	s.blocks = []block{
		digest(r.Fingerprint),
		sentence("The fingerprint is a SHA-256 over the content of the record " + name + ". The same file always gives this fingerprint; a changed one does not."),
		sentence(fmt.Sprintf("To check the file: arctally verify %s says whether the record is whole. "+
			"To check this paper: arctally report %s writes it anew, and the fingerprint must be the one above.", name, name)),
	}
	return s
}
