package sheet

import (
	"fmt"
	"slices"
	"time"

	"arctally/analyze/inspect"
)

// DispositionRow is what a person found and decided about one finding; null is
// not known.
type DispositionRow struct {
	Entry       int             `json:"entry"` // its number in the record
	At          string          `json:"at"`
	By          string          `json:"by"`
	SignedBy    string          `json:"signed_by,omitempty"` // the fingerprint of his key; left out where the name was typed
	Method      string          `json:"method"`
	Result      string          `json:"result"`
	Decision    string          `json:"decision"`
	Remark      *string         `json:"remark"`
	Photographs []PhotographRow `json:"photographs"`
	// CorrectedBy is the entry that took the place of this one; left out where it stands.
	CorrectedBy int `json:"corrected_by,omitempty"`
	// Worse: the finding lies clearly further beyond its limit than when it was accepted.
	Worse bool `json:"worse_now,omitempty"`
	// History are the entries before this one, oldest first.
	History []DispositionRow `json:"history,omitempty"`
}

// PhotographRow names a picture in the record.
type PhotographRow struct {
	SHA256  string  `json:"sha256"`
	Type    string  `json:"type"`
	Size    int64   `json:"size"`
	Caption *string `json:"caption"`
}

// dispositionRow is nil where nobody has put anything on record.
func dispositionRow(item *inspect.Item) *DispositionRow {
	if item.Current == nil {
		return nil
	}
	row := entryRow(item.Current, 0)
	row.Worse = item.Worse
	for k := range item.History {
		if kept := &item.History[k]; kept.Number != item.Current.Number && kept.Disposition != nil {
			row.History = append(row.History, entryRow(&kept.Entry, kept.CorrectedBy))
		}
	}
	return &row
}

func entryRow(e *inspect.Entry, correctedBy int) DispositionRow {
	d := e.Disposition
	return DispositionRow{
		Entry: e.Number, At: Timestamp(e.At), By: e.By, SignedBy: e.Signed, Method: string(d.Method), Result: string(d.Result),
		Decision: string(d.Decision), Remark: word(d.Remark), Photographs: photographRows(e.Photographs), CorrectedBy: correctedBy,
	}
}

func photographRows(all []inspect.Photograph) []PhotographRow {
	rows := make([]PhotographRow, 0, len(all))
	for _, p := range all {
		rows = append(rows, PhotographRow{p.SHA256, p.Type, p.Size, word(p.Caption)})
	}
	return rows
}

// orphanRows are decided findings that this judgement does not have.
func orphanRows(book *inspect.Book) (rows []FindingRow) {
	for k := range book.Orphans {
		item := &book.Orphans[k]
		of, m := &item.Of, MeasureOf(item.Of.Rule, Metric)
		rows = append(rows, FindingRow{
			Number: of.Number, Rule: string(of.Rule), Pass: of.Pass, Layer: positive(of.Layer),
			Angle: Plain(of.Angle), Depth: In(of.Depth, "mm"), Epoch: of.Epoch, TickNS: of.TickNS,
			Worst: Known(m.From(of.Worst)), Limit: Known(m.From(of.Limit)), Beyond: m.Difference(of.Worst - of.Limit), Unit: m.Name,
			Sentence: of.Sentence, State: string(item.State), Disposition: dispositionRow(item),
		})
	}
	return rows
}

// MachiningRow is a final measurement of the bore; null is not known.
type MachiningRow struct {
	Entry       int             `json:"entry"`
	At          string          `json:"at"`
	By          string          `json:"by"`
	SignedBy    string          `json:"signed_by,omitempty"` // the fingerprint of his key; left out where the name was typed
	Stations    []StationRow    `json:"stations"`
	Instrument  *string         `json:"instrument"`
	Expanded    *float64        `json:"expanded_uncertainty_mm"`
	WantedLow   *float64        `json:"wanted_low_mm"`
	WantedHigh  *float64        `json:"wanted_high_mm"`
	CleanedUp   string          `json:"cleaned_up"`
	Where       *string         `json:"where"` // it did not clean up
	Remark      *string         `json:"remark"`
	Photographs []PhotographRow `json:"photographs"`
	CorrectedBy int             `json:"corrected_by,omitempty"`
}

// StationRow is one diameter.
type StationRow struct {
	Depth    *float64 `json:"depth_mm"`
	Angle    *float64 `json:"angle_deg"`
	Diameter *float64 `json:"diameter_mm"`
	Beyond   *float64 `json:"beyond_mm"` // how far out of the limits, below them negative; 0 is inside, null has none
}

func machiningRows(book *inspect.Book) []MachiningRow {
	rows := make([]MachiningRow, 0, len(book.Machinings))
	for k := range book.Machinings {
		kept := &book.Machinings[k]
		m := kept.Machining
		row := MachiningRow{
			Entry: kept.Number, At: Timestamp(kept.At), By: kept.By, SignedBy: kept.Signed, Instrument: word(m.Instrument), Expanded: In(m.Expanded, "mm"),
			CleanedUp: string(m.CleanedUp), Where: word(m.Where), Remark: word(m.Remark),
			Photographs: photographRows(kept.Photographs), CorrectedBy: kept.CorrectedBy, Stations: []StationRow{},
		}
		row.WantedLow, row.WantedHigh = RangeEnds(m.Wanted, "mm")
		for _, station := range m.Stations {
			row.Stations = append(row.Stations, stationRow(&station, m))
		}
		rows = append(rows, row)
	}
	return rows
}

func stationRow(at *inspect.Station, m *inspect.Machining) StationRow {
	row := StationRow{Depth: In(&at.Depth, "mm"), Angle: Plain(&at.Angle), Diameter: In(&at.Diameter, "mm")}
	if !m.Wanted.IsZero() {
		beyond := m.Wanted.Beyond(at.Diameter)
		row.Beyond = In(&beyond, "mm")
	}
	return row
}

// ownEntries copies what a later reading of the record may change.
func ownEntries(entries []inspect.Entry, zone *time.Location) []inspect.Entry {
	own := slices.Clone(entries)
	for k := range own {
		own[k].At = own[k].At.In(zone)
		own[k].Disposition, own[k].Machining = clone(own[k].Disposition), clone(own[k].Machining)
		own[k].Photographs = slices.Clone(own[k].Photographs)
	}
	return own
}

// OrphanText tells of a decision whose finding is not there any more.
func OrphanText(item *inspect.Item, u Units) string {
	entry := item.History[len(item.History)-1].Number
	text := fmt.Sprintf("entry %d is about a finding that this judgement does not have: %s", entry, ReferenceText(&item.Of, u))
	if item.State == "" {
		return text + "; it was corrected"
	}
	return text + "; " + string(item.State)
}

// ReferenceText names a finding of another judgement.
func ReferenceText(of *inspect.Reference, u Units) string {
	text := fmt.Sprintf("%s, pass %d", of.Rule, of.Pass)
	if of.Angle != nil && of.Depth != nil {
		text += fmt.Sprintf(", %.0f deg, %s deep", float64(*of.Angle), Say(*of.Depth, u.Set().Depth))
	}
	return text
}
