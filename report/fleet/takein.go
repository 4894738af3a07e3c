package fleet

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	"arctally/report/sheet"
)

// Outcome is what became of results that were to be taken in.
type Outcome string

// The outcomes.
const (
	New     Outcome = "new"
	WentOn  Outcome = "went on" // takes the place of an older state of its record
	Older   Outcome = "older"   // a newer state of its record is there, and stays
	Apart   Outcome = "apart"   // a state as long as this one is there, and differs: it stays
	Already Outcome = "already" // this state is there
)

// stands tells whether the state stands in the questions.
func (o Outcome) stands() bool { return o == New || o == WentOn }

// TakenIn says what became of the results of one record.
type TakenIn struct {
	Record  string  `json:"record"`
	Digest  string  `json:"digest"`
	Outcome Outcome `json:"outcome"`
}

// TakeIn takes results in, all of them or none. What is there already, by its digest, is
// left as it is; several programs may take in at once.
func (f *Fleet) TakeIn(ctx context.Context, all []*Results, now time.Time) (done []TakenIn, err error) {
	err = f.within(ctx, func(tx *sql.Tx) error {
		done = nil
		for _, r := range all {
			w := &writing{f: f, tx: tx, now: sheet.Timestamp(now)}
			outcome, err := w.take(ctx, newTaken(r))
			if err != nil {
				return fmt.Errorf("%s: %w", r.Record, err)
			}
			done = append(done, TakenIn{r.Record, r.State.Head, outcome})
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return done, nil
}

// Has tells whether a state is there, by its digest.
func (f *Fleet) Has(ctx context.Context, digest string) (bool, error) {
	there := 0
	err := f.look(ctx, func(tx *sql.Tx) error {
		return tx.QueryRowContext(ctx, f.sql("SELECT count(*) FROM jobs WHERE digest = $1"), digest).Scan(&there)
	})
	return there > 0, err
}

// writing is the work of one transaction.
type writing struct {
	f   *Fleet
	tx  *sql.Tx
	now string
}

func (w *writing) take(ctx context.Context, t *taken) (Outcome, error) {
	there := 0
	if err := w.tx.QueryRowContext(ctx, w.f.sql("SELECT count(*) FROM jobs WHERE digest = $1"), t.State.Head).Scan(&there); err != nil || there > 0 {
		return Already, err
	}
	outcome, replaces, err := w.place(ctx, t)
	if err != nil {
		return "", err
	}
	if outcome == WentOn {
		if err := w.withdraw(ctx, *replaces); err != nil {
			return "", err
		}
	}
	if err := w.write(ctx, t, outcome, replaces); err != nil || !outcome.stands() {
		return outcome, err
	}
	return outcome, w.count(ctx, t)
}

// place tells how a state stands to the one of its record that stands in the questions.
func (w *writing) place(ctx context.Context, t *taken) (outcome Outcome, replaces *int64, err error) {
	var other int64
	var groups *int64
	err = w.tx.QueryRowContext(ctx, w.f.sql("SELECT id, groups FROM jobs WHERE begins = $1 AND current"), t.begins()).Scan(&other, &groups)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return New, nil, nil
	case err != nil:
		return "", nil, err
	case groups == nil || t.State.Groups == nil || *groups == *t.State.Groups:
		return Apart, nil, nil
	case *groups > *t.State.Groups:
		return Older, nil, nil
	default:
		return WentOn, &other, nil
	}
}

// write puts the rows of one state into the tables.
func (w *writing) write(ctx context.Context, t *taken, outcome Outcome, replaces *int64) error {
	if err := w.insert(ctx, t.procedureRows(), "ON CONFLICT (id) DO NOTHING"); err != nil {
		return err
	}
	for _, r := range []*rows{
		t.jobRows(w.now, outcome, replaces), t.passRows(), t.findingRows(), t.eventRows(w.now, outcome.stands()), t.dispositionRows(), t.checkRows(), t.calibrationRows(), t.boxRows(),
	} {
		if err := w.insert(ctx, r, ""); err != nil {
			return err
		}
	}
	return w.insert(ctx, t.newestRows(), `ON CONFLICT (holder, channel) DO UPDATE SET box = excluded.box, done = excluded.done, due = excluded.due,
		certificate = excluded.certificate, job = excluded.job WHERE excluded.done >= newest_calibrations.done`)
}

// count takes a state into what the questions are answered from.
func (w *writing) count(ctx context.Context, t *taken) error {
	if err := w.bar(ctx, t); err != nil {
		return err
	}
	if err := w.tally(ctx, t.id, 1); err != nil {
		return err
	}
	if t.at == nil {
		undated := &rows{table: "tallies", columns: "question, procedure, word, n", values: [][]any{{"undated", 0, "", 1}}}
		return w.insert(ctx, undated, onTally)
	}
	return w.plot(ctx, t)
}

// withdraw takes a state out of what the questions are answered from; its rows stay.
func (w *writing) withdraw(ctx context.Context, job int64) error {
	if err := w.tally(ctx, job, -1); err != nil {
		return err
	}
	if err := w.unplot(ctx, job); err != nil {
		return err
	}
	for _, one := range []string{
		"DELETE FROM barred WHERE job = $1",
		"DELETE FROM newest_calibrations WHERE job = $1 AND box IS NULL", // of no known box: nothing but its record takes its place
		"UPDATE events SET waits_since = NULL WHERE job = $1 AND waits_since IS NOT NULL",
		"UPDATE tallies SET n = n - 1 WHERE question = 'undated' AND (SELECT started IS NULL AND created IS NULL FROM jobs WHERE id = $1)",
		"UPDATE jobs SET current = FALSE WHERE id = $1",
	} {
		if err := w.exec(ctx, one, job); err != nil {
			return err
		}
	}
	return nil
}

// bar notes which passes something keeps from being proved, kind by kind.
func (w *writing) bar(ctx context.Context, t *taken) error {
	r := &rows{table: "barred", columns: "procedure, kind, at_us, job, pass, passes"}
	places := map[string]int{}
	var at int64
	if t.at != nil {
		at = *t.at
	}
	for k := range t.Passes {
		proof := t.proofs[t.Passes[k].Number]
		if proof == nil {
			continue
		}
		for _, kind := range unique(proof.Barred) {
			place, known := places[kind]
			if !known {
				place, places[kind] = len(r.values), len(r.values)
				r.add(t.procedure, plain(kind), at, t.id, proof.Pass, 0)
			}
			r.values[place][5] = r.values[place][5].(int) + 1
		}
	}
	return w.insert(ctx, r, "")
}

func unique(words []string) (all []string) {
	seen := map[string]bool{}
	for _, one := range words {
		if !seen[one] {
			seen[one] = true
			all = append(all, one)
		}
	}
	return all
}

const onTally = "ON CONFLICT (question, procedure, word) DO UPDATE SET n = tallies.n + excluded.n"

// tally counts a state in, or out with the sign -1.
func (w *writing) tally(ctx context.Context, job int64, sign int) error {
	for _, counted := range []string{
		"'open', 0, cause, count(*) FROM events WHERE job = $1 AND open_findings > 0 GROUP BY cause",
		`'proof', j.procedure, CASE WHEN p.proved THEN 'proved' WHEN NOT p.proved THEN 'not proved' ELSE 'not known' END AS word, count(*)
			FROM passes p JOIN jobs j ON j.id = p.job WHERE p.job = $1 GROUP BY j.procedure, word`,
		"'bar', procedure, kind, sum(passes) FROM barred WHERE job = $1 GROUP BY procedure, kind",
	} {
		counted = strings.NewReplacer("count(*)", fmt.Sprintf("%d * count(*)", sign), "sum(passes)", fmt.Sprintf("CAST(%d * sum(passes) AS BIGINT)", sign)).Replace(counted)
		if err := w.exec(ctx, "INSERT INTO tallies (question, procedure, word, n) SELECT "+counted+" "+onTally, job); err != nil {
			return err
		}
	}
	return nil
}

func (w *writing) exec(ctx context.Context, statement string, args ...any) error {
	_, err := w.tx.ExecContext(ctx, w.f.sql(statement), args...)
	return err
}

// mostParameters is how many values one statement may bring in.
const mostParameters = 6000

// insert writes rows, as many at a time as a statement takes.
func (w *writing) insert(ctx context.Context, r *rows, onConflict string) error {
	width := strings.Count(r.columns, ",") + 1
	for from := 0; from < len(r.values); {
		n := min(len(r.values)-from, mostParameters/width)
		args := make([]any, 0, n*width)
		for _, row := range r.values[from : from+n] {
			args = append(args, row...)
		}
		if err := w.exec(ctx, "INSERT INTO "+r.table+" ("+r.columns+") VALUES "+places(n, width)+" "+onConflict, args...); err != nil {
			return fmt.Errorf("%s: %w", r.table, err)
		}
		from += n
	}
	return nil
}

// places are the parameters of n rows.
func places(n, width int) string {
	var b strings.Builder
	for k := range n * width {
		switch {
		case k == 0:
			b.WriteByte('(')
		case k%width == 0:
			b.WriteString("), (")
		default:
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "$%d", k+1)
	}
	return b.String() + ")"
}

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// each hands on the rows of a question.
func each(ctx context.Context, q querier, query string, args []any, row func(*sql.Rows) error) error {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	for rows.Next() && err == nil {
		err = row(rows)
	}
	return errors.Join(err, rows.Err(), rows.Close())
}
