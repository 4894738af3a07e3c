package paper

import (
	"arctally/report/sheet"
)

// What stands in the weld record whatever the job: on the page and on paper alike.
const (
	endNote = "End view from the torch side, 0° at the reference mark. Dashed: finish diameter. Hatched: left unwelded. Deposit drawn thicker than it is."
	pinNote = "A number on a mark is the number of the finding in the list. Black marks are open, white ones closed by a person. " +
		"The mark stands where the finding began, or beside it with a line to the place."
	flatNote  = "The wall unrolled: angle across, depth down. Thin lines: the bead as planned."
	mapNote   = "Hatched with grey lines: left unwelded. Numbered marks: findings, black while open."
	angleNote = "Seen from the torch side, clockwise from the reference mark; the further out, the more current. The dashed circle is the mean over all turns, " +
		"the line across it a crest that stands out of the noise. Where the axis is not vertical, gravity swings the current once a turn as well."
	// unitNote stands in a record of US units.
	unitNote = "Units: US. The words of a proof, of a set-up check, of what a person typed in, and of a swing by angle or a spot of the wall stay metric."
	signNote = "Only a person accepts a repair. Signing says that the record was read and every finding has a disposition."
	passNote = "A dash stands for what is not known; means are over arc time; Q is the heat input with its expanded uncertainty U (k = 2), E the arc energy; "
	waveNote = "The two levels of the voltage are found from the signal itself. Stubs are shorts of more than 10 ms; instability is the spread of the cycles " +
		"over their mean; 95 % of the samples are below the 95 % point. At 10 kHz touches of less than 0.1 ms are partly missed; below 10 kHz only shorts over 1 ms are told."
	typedNote = "A person measured or saw this; no sensor did. A temperature stands for the pass that begins next, if it was taken after the one before had ended; " +
		"a gas flow until the next one."
	arcOnNote = "Arc-on ratio: the short line is the ratio that the plan has; dashed is the least that the procedure's tolerance allows, where all passes have one plan."
)

// signatories sign the record.
var signatories = []string{"Operator", "Inspector", "Engineer"}

// caution is a danger and what to do about it.
type caution struct{ Head, Text string }

var cautions = []caution{
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
}

// howToCheck says how a reader finds out whether paper and record belong together.
func howToCheck(s *sheet.Sheet) []string {
	if s.Fingerprint == "" {
		return []string{"No fingerprint was taken of this record, so nothing ties this paper to the file " + sheet.OrDash(s.Record) + "."}
	}
	return []string{
		"The fingerprint is a SHA-256 over the content of the record " + sheet.OrDash(s.Record) + ". The same file always gives this fingerprint; a changed one does not.",
		"To check the file: arctally verify " + sheet.OrDash(s.Record) + " says whether the record is whole. " +
			"To check this paper: arctally report " + sheet.OrDash(s.Record) + " writes it anew, and the fingerprint must be the one above.",
	}
}

// answers are what the program says of the job, below the headline.
func answers(s *sheet.Sheet) []string {
	lines := []string{s.FindingsLine(), s.ProofSummary()}
	if s.Wall != nil {
		lines = append(lines, s.CleanUpAnswer())
	}
	if m := s.Book.Machining(); m != nil {
		lines = append(lines, "After machining: "+s.MachinedWords(m.Machining))
	}
	return lines
}
