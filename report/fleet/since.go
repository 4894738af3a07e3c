package fleet

import (
	"context"
	"database/sql"
	"time"

	"arctally/report/sheet"
)

// Changes are what was taken in since a moment.
type Changes struct {
	Since  string   `json:"since"`
	InAll  int64    `json:"states_in_all"`
	States []Change `json:"states"` // the newest first
}

// Change is one state of a record that was taken in.
type Change struct {
	Place
	TakenIn string       `json:"taken_in"`
	Outcome Outcome      `json:"outcome"`
	Now     StateCounts  `json:"now"`
	Before  *StateCounts `json:"before"` // of the state that it took the place of; null where it took none
}

// StateCounts is how a state of a record stands.
type StateCounts struct {
	Digest string `json:"digest"`
	Passes int    `json:"passes"`
	Proved *int   `json:"proved_passes"`
	Open   int    `json:"open_events"`
}

// Since answers what changed since a moment; most bounds the states that are told.
func (f *Fleet) Since(ctx context.Context, at time.Time, most int) (*Changes, error) {
	answer := &Changes{Since: sheet.Timestamp(at), States: []Change{}}
	err := f.look(ctx, func(tx *sql.Tx) error {
		if err := tx.QueryRowContext(ctx, f.sql("SELECT count(*) FROM jobs WHERE taken_in >= $1"), answer.Since).Scan(&answer.InAll); err != nil {
			return err
		}
		return each(ctx, tx, f.sql(`SELECT j.record, j.digest, j.simulated, j.taken_in, j.outcome, j.passes, j.proved_passes, j.open_events, o.digest, o.passes, o.proved_passes, o.open_events
			FROM jobs j LEFT JOIN jobs o ON o.id = j.replaces WHERE j.taken_in >= $1 ORDER BY j.taken_in DESC, j.id DESC LIMIT $2`),
			[]any{answer.Since, most}, func(rows *sql.Rows) error {
				c, err := scanChange(rows)
				answer.States = append(answer.States, c)
				return err
			})
	})
	if err != nil {
		return nil, err
	}
	return answer, nil
}

func scanChange(rows *sql.Rows) (c Change, err error) {
	var outcome string
	var digest *string
	var passes, proved, open *int
	err = rows.Scan(&c.Record, &c.Digest, &c.Simulated, &c.TakenIn, &outcome, &c.Now.Passes, &c.Now.Proved, &c.Now.Open, &digest, &passes, &proved, &open)
	if err != nil {
		return c, err
	}
	c.Outcome, c.Now.Digest = Outcome(outcome), c.Digest
	c.link()
	if digest != nil {
		c.Before = &StateCounts{*digest, *passes, proved, *open}
	}
	return c, nil
}
