package sheet

import (
	"embed"
	"fmt"
	"html/template"
	"io"
	"strings"
)

//go:embed template
var templates embed.FS

var weldRecord = template.Must(template.New("record.html").ParseFS(templates, "template/*"))

// recordView is what the template of the weld record shows, all of it ready to
// print: the template has no arithmetic.
type recordView struct {
	Job, Record, Fingerprint, Mark, Made string
	Headline, FindingsLine, Sign         string
	Answers                              []string
	UnitNote                             string
	Counts                               []verdictCount
	Glyph                                endView
	Cover                                []FactGroup
	Instruments                          []instrumentLine
	Window                               []WindowRow
	Definition, Rule                     string
	Bore                                 *boreView
	Findings                             []findingLine
	Clean                                *cleanView
	Maps                                 []*mapView
	Heat                                 *strip
	Strips                               []*strip
	PassHead                             []passHead
	Passes                               []passLine
	Waveform                             *waveformView
	ByAngle                              []angleView
	Bases                                []string
	Warnings                             []warningLine
	Methods                              []string
	Checks                               []checkLine
	Signatures                           []string
	PlanDone                             planDone
	Orphans                              []string
	Open                                 []openLine
	Photographs                          []photographView
	Machining                            []machiningView
	Cautions                             []caution
	HowToCheck                           []string
	EndNote, PinNote, MapNote, AngleNote string
	FlatNote                             string
	PassNote, WaveNote, TypedNote        string
	ArcOnNote, SignNote                  string
	Proof                                proofView
	TypedIn                              []typedLine
}

// HTML writes the weld record: one file that loads nothing, runs no script, and
// prints on A4 and Letter.
func (s *Sheet) HTML(w io.Writer) error {
	if err := weldRecord.Execute(w, s.recordView()); err != nil {
		return fmt.Errorf("write weld record: %w", err)
	}
	return nil
}

func (s *Sheet) recordView() recordView {
	v := recordView{
		Job: orDash(s.job.Name), Record: orDash(s.record), Fingerprint: s.fingerprint, Mark: s.pageMark(),
		Headline: s.headline(), FindingsLine: s.findingsLine(), Sign: s.sign(), Counts: s.verdictCounts(),
		Glyph: s.endView(nil), Cover: s.cover(), Instruments: s.instrumentLines(),
		Window: s.windowLines(), Definition: s.definition(), Rule: s.judgeRule(),
		Bore: s.boreView(), Findings: s.findingLines(), Clean: s.cleanView(), Maps: s.mapViews(), ByAngle: s.angleViews(), Heat: s.heatStrip(), Strips: s.smallStrips(),
		PassHead: s.passHeads(), Passes: s.passLines(), Waveform: s.waveformTable(),
		Bases: s.basisLines(), Warnings: s.warningView(), Methods: s.methods(), Checks: s.checkLines(),
		Signatures: signatories, PlanDone: s.planDone(), Orphans: s.orphanLines(), Open: s.openLines(), Photographs: s.photographViews(),
		Machining: s.machiningViews(), Cautions: cautions, HowToCheck: s.howToCheck(), Answers: s.answers(),
		EndNote: endNote, PinNote: pinNote, MapNote: mapNote, FlatNote: flatNote, AngleNote: angleNote, PassNote: passNote + s.timeNote() + ".",
		WaveNote: waveNote, TypedNote: typedNote, ArcOnNote: arcOnNote, SignNote: signNote,
		Proof: s.proofView(), TypedIn: s.typedLines(),
	}
	if s.units == US {
		v.UnitNote = unitNote
	}
	if !s.made.IsZero() {
		v.Made = s.made.UTC().Format("2006-01-02 15:04 UTC")
	}
	return v
}

// pageMark stands at the foot of every printed page, so that a loose page can
// be put back with its record.
func (s *Sheet) pageMark() string {
	mark := orDash(s.record)
	if s.fingerprint != "" {
		mark += "  " + strings.ToValidUTF8(s.fingerprint[:min(len(s.fingerprint), 16)], "")
	}
	return mark
}
