package fleet

import (
	"context"
	"database/sql"
)

// OpenEvents are the events on which somebody has still to decide.
type OpenEvents struct {
	InAll  int64       `json:"open_in_all"`
	Causes []CauseOpen `json:"causes"` // the most frequent first
	Events []OpenEvent `json:"events"` // those that wait longest
}

// CauseOpen is how many events of one cause are open.
type CauseOpen struct {
	Cause string `json:"cause"`
	Open  int64  `json:"open"`
}

// OpenEvent is one of them; null is not known.
type OpenEvent struct {
	Place
	Number   int      `json:"event"`
	Cause    string   `json:"cause"`
	Layer    *int     `json:"layer"`
	Angle    *float64 `json:"angle_deg"`
	Depth    *float64 `json:"depth_mm"`
	Since    string   `json:"since"`
	Sentence *string  `json:"sentence"`
	State    string   `json:"state"`
	Findings int      `json:"open_findings"`
}

// Open answers which events are open; most bounds those that are told.
func (f *Fleet) Open(ctx context.Context, most int) (*OpenEvents, error) {
	answer := &OpenEvents{Causes: []CauseOpen{}, Events: []OpenEvent{}}
	err := f.look(ctx, func(tx *sql.Tx) error {
		err := each(ctx, tx, "SELECT word, n FROM tallies WHERE question = 'open' AND n <> 0 ORDER BY n DESC, word", nil, func(rows *sql.Rows) error {
			var c CauseOpen
			err := rows.Scan(&c.Cause, &c.Open)
			answer.Causes = append(answer.Causes, c)
			answer.InAll += c.Open
			return err
		})
		if err != nil {
			return err
		}
		return each(ctx, tx, f.sql(`SELECT j.record, j.digest, j.simulated, e.pass, e.number, e.cause, e.layer, e.angle_deg, e.depth_m, e.waits_since, e.sentence, e.state, e.open_findings
			FROM events e JOIN jobs j ON j.id = e.job WHERE e.waits_since IS NOT NULL ORDER BY e.waits_since LIMIT $1`), []any{most}, func(rows *sql.Rows) error {
			var e OpenEvent
			err := rows.Scan(&e.Record, &e.Digest, &e.Simulated, &e.Pass, &e.Number, &e.Cause, &e.Layer, &e.Angle, &e.Depth, &e.Since, &e.Sentence, &e.State, &e.Findings)
			e.Depth = times(e.Depth, 1/millimetres)
			e.link()
			answer.Events = append(answer.Events, e)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return answer, nil
}
