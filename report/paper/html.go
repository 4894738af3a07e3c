package paper

import (
	"embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"arctally/report/draw"
	"arctally/report/sheet"
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
	Counts                               []sheet.VerdictCount
	Glyph                                draw.End
	Cover                                []sheet.FactGroup
	Instruments                          []instrumentLine
	Window                               []sheet.WindowRow
	Definition, Rule                     string
	Bore                                 *boreView
	Findings                             []findingLine
	Clean                                *cleanView
	Maps                                 []*draw.Map
	Heat                                 *draw.Strip
	Strips                               []*draw.Strip
	PassHead                             []passHead
	Passes                               []passLine
	Waveform                             *waveformView
	ByAngle                              []draw.Angle
	Bases                                []string
	Warnings                             []warningLine
	Methods                              []string
	Checks                               []checkLine
	Signatures                           []string
	PlanDone                             planDone
	Orphans                              []string
	Open                                 []openLine
	Photographs                          []photographView
	Machining                            []sheet.MachiningView
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
func HTML(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	if err := weldRecord.Execute(w, newRecordView(s.In(u))); err != nil {
		return fmt.Errorf("write weld record: %w", err)
	}
	return nil
}

func newRecordView(s *sheet.Sheet) recordView {
	v := recordView{
		Job: sheet.OrDash(s.Job.Name), Record: sheet.OrDash(s.Record), Fingerprint: s.Fingerprint, Mark: pageMark(s),
		Headline: s.Headline(), FindingsLine: s.FindingsLine(), Sign: s.Sign(), Counts: s.VerdictCounts(),
		Glyph: draw.NewEnd(s, nil), Cover: s.FactGroups(), Instruments: instrumentLines(s),
		Window: s.Window(), Definition: s.Definition(), Rule: judgeRule(s),
		Bore: newBoreView(s), Findings: findingLines(s), Clean: newCleanView(s), Maps: draw.Maps(s), ByAngle: draw.Angles(s), Heat: draw.Heat(s), Strips: draw.Strips(s),
		PassHead: passHeads(s), Passes: passLines(s), Waveform: waveformTable(s),
		Bases: basisLines(s), Warnings: warningView(s), Methods: methods(s), Checks: checkLines(s),
		Signatures: signatories, PlanDone: newPlanDone(s), Orphans: orphanLines(s), Open: openLines(s), Photographs: photographViews(s),
		Machining: machiningViews(s), Cautions: cautions, HowToCheck: howToCheck(s), Answers: answers(s),
		EndNote: endNote, PinNote: pinNote, MapNote: mapNote, FlatNote: flatNote, AngleNote: angleNote, PassNote: passNote + s.TimeNote() + ".",
		WaveNote: waveNote, TypedNote: typedNote, ArcOnNote: arcOnNote, SignNote: signNote,
		Proof: newProofView(s), TypedIn: typedLines(s),
	}
	if s.Units == sheet.US {
		v.UnitNote = unitNote
	}
	if !s.Made.IsZero() {
		v.Made = s.Made.UTC().Format("2006-01-02 15:04 UTC")
	}
	return v
}

// pageMark stands at the foot of every printed page, so that a loose page can
// be put back with its record.
func pageMark(s *sheet.Sheet) string {
	mark := sheet.OrDash(s.Record)
	if s.Fingerprint != "" {
		mark += "  " + strings.ToValidUTF8(s.Fingerprint[:min(len(s.Fingerprint), 16)], "")
	}
	return mark
}
