package fleet

import (
	"context"
	"database/sql"
)

// Standing are the states that stand in the questions.
type Standing struct {
	Records map[string]string // their records, as they were called when they were taken in, by their digests
	Since   *string           // when the first of all states was taken in; nil where none was
}

// Standing answers of which states the questions are answered.
func (f *Fleet) Standing(ctx context.Context) (*Standing, error) {
	answer := &Standing{Records: map[string]string{}}
	err := f.look(ctx, func(tx *sql.Tx) error {
		if err := tx.QueryRowContext(ctx, "SELECT min(taken_in) FROM jobs").Scan(&answer.Since); err != nil {
			return err
		}
		return each(ctx, tx, "SELECT digest, record FROM jobs WHERE current", nil, func(rows *sql.Rows) error {
			var digest, record string
			err := rows.Scan(&digest, &record)
			answer.Records[digest] = record
			return err
		})
	})
	if err != nil {
		return nil, err
	}
	return answer, nil
}
