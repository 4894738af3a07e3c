package export

import (
	"arctally/acquire/series"
	"arctally/report/sheet"
)

// stateJSON is which record it is, and how far it had come.
type stateJSON struct {
	Head    *string `json:"head"`
	Begins  *string `json:"begins"`
	Groups  *int64  `json:"groups"`
	Created *string `json:"created"` // RFC 3339, six decimals, UTC
}

type peopleJSON struct {
	Operator  *string `json:"operator"`
	Inspector *string `json:"inspector"`
}

type windowJSON struct {
	Low  *float64 `json:"low_kj_per_mm"`
	High *float64 `json:"high_kj_per_mm"`
}

// proofJSON says whether a pass is proved; what bars it is by kind.
type proofJSON struct {
	Pass   int      `json:"pass"`
	Proved bool     `json:"proved"`
	Barred []string `json:"barred_by"`
}

func (j Job) state() stateJSON {
	state := stateJSON{Head: nonEmpty(j.Sheet.Fingerprint), Begins: nonEmpty(j.Chain.Begins)}
	if j.Chain.Groups > 0 {
		state.Groups = &j.Chain.Groups
	}
	if !j.Chain.Created.IsZero() {
		state.Created = new(sheet.Timestamp(j.Chain.Created))
	}
	return state
}

func peopleOf(s *sheet.Sheet) peopleJSON {
	return peopleJSON{Operator: nonEmpty(s.Job.People.Operator), Inspector: nonEmpty(s.Job.People.Inspector)}
}

// arcBox is who told the arc, nil where that was not one box alone.
func arcBox(sources []series.Source) *string {
	var found string
	for k := range sources {
		s := &sources[k]
		switch name := s.Identity(); {
		case s.Box != 0 || s.Assumed:
		case name == "" || s.Contested || found != "" && found != name:
			return nil
		default:
			found = name
		}
	}
	return nonEmpty(found)
}

func windowOf(s *sheet.Sheet) (w windowJSON) {
	limits := s.Job.Procedure.Limits.HeatInput
	if limits.HasLow {
		w.Low = sheet.In(&limits.Low, "kJ/mm")
	}
	if limits.HasHigh {
		w.High = sheet.In(&limits.High, "kJ/mm")
	}
	return w
}

func proofOf(s *sheet.Sheet) []proofJSON {
	rows := make([]proofJSON, 0, len(s.Proof.Passes))
	for k := range s.Proof.Passes {
		p := &s.Proof.Passes[k]
		row := proofJSON{Pass: p.Number, Proved: p.Proved, Barred: []string{}}
		for _, r := range p.Reasons {
			row.Barred = append(row.Barred, string(r.Kind))
		}
		rows = append(rows, row)
	}
	return rows
}

func nonEmpty(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
