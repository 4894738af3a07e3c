package fleet

import (
	"context"
	"database/sql"
	"time"
)

// Due are calibrations that run out, the newest of each channel of each box.
type Due struct {
	On         string           `json:"on"` // the day that is asked for
	Within     int              `json:"within_days"`
	InAll      int64            `json:"calibrations_in_all"`
	Overdue    int64            `json:"overdue"`
	RunOut     int64            `json:"run_out_within"` // the overdue ones not among them
	NoDay      int64            `json:"no_day_known"`   // nobody said when, or it is no day
	Calibrated []DueCalibration `json:"calibrations"`   // those first that ran out first
}

// DueCalibration is one of them.
type DueCalibration struct {
	Box         *string `json:"box"` // null: nobody said whose it is
	Channel     string  `json:"channel"`
	Due         string  `json:"due"`  // the last day on which it holds
	Days        int     `json:"days"` // until then; below 0 it has run out
	Done        *string `json:"done"`
	Certificate *string `json:"certificate"`
	Place
}

// Calibrations answers which calibrations have run out, or do within some days of a day;
// most bounds those that are told.
func (f *Fleet) Calibrations(ctx context.Context, on time.Time, within, most int) (*Due, error) {
	today := on.UTC().Truncate(24 * time.Hour)
	from, until := today.Format(time.DateOnly), today.AddDate(0, 0, within).Format(time.DateOnly)
	answer := &Due{On: from, Within: within, Calibrated: []DueCalibration{}}
	err := f.look(ctx, func(tx *sql.Tx) error {
		if err := tx.QueryRowContext(ctx, f.sql(`SELECT (SELECT count(*) FROM newest_calibrations), (SELECT count(*) FROM newest_calibrations WHERE due < $1),
			(SELECT count(*) FROM newest_calibrations WHERE due >= $1 AND due <= $2), (SELECT count(*) FROM newest_calibrations WHERE due IS NULL)`), from, until).
			Scan(&answer.InAll, &answer.Overdue, &answer.RunOut, &answer.NoDay); err != nil {
			return err
		}
		return each(ctx, tx, f.sql(`SELECT n.box, n.channel, n.due, n.done, n.certificate, j.record, j.digest, j.simulated FROM newest_calibrations n JOIN jobs j ON j.id = n.job
			WHERE n.due <= $1 ORDER BY n.due, n.holder, n.channel LIMIT $2`), []any{until, most}, func(rows *sql.Rows) error {
			var c DueCalibration
			if err := rows.Scan(&c.Box, &c.Channel, &c.Due, &c.Done, &c.Certificate, &c.Record, &c.Digest, &c.Simulated); err != nil {
				return err
			}
			if c.Done != nil && *c.Done == "" {
				c.Done = nil
			}
			due, err := time.Parse(time.DateOnly, c.Due)
			c.Days = int(due.Sub(today).Hours() / 24)
			c.link()
			answer.Calibrated = append(answer.Calibrated, c)
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return answer, nil
}
