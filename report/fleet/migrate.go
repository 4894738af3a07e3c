package fleet

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"

	"arctally/report/sheet"
)

//go:embed schema
var schema embed.FS

//go:embed columns.tsv
var columns string

// migration is one step of the tables; its number is its place from 1.
type migration struct{ statements []string }

// migrations are all that there are, oldest first.
func migrations() []migration { return []migration{{statementsIn("schema/0001.sql")}} }

var comment = regexp.MustCompile(`(?m)^\s*--.*$`)

func statementsIn(file string) (all []string) {
	text, err := schema.ReadFile(file)
	if err != nil {
		panic("fleet: " + err.Error())
	}
	for _, one := range strings.Split(comment.ReplaceAllString(string(text), ""), ";\n") {
		if one = strings.TrimSpace(one); one != "" {
			all = append(all, one)
		}
	}
	return all
}

// columnText is what a column of a view is.
type columnText struct{ view, name, text string }

func columnTexts() (all []columnText) {
	for _, line := range strings.Split(strings.TrimSpace(columns), "\n")[1:] {
		f := strings.Split(line, "\t")
		all = append(all, columnText{f[0], f[1], f[2]})
	}
	return all
}

// migrate brings the tables to the last of the steps, and refuses those of a later program.
func (f *Fleet) migrate(ctx context.Context, steps []migration) error {
	return f.within(ctx, func(tx *sql.Tx) error {
		if err := f.isOurs(ctx, tx); err != nil {
			return err
		}
		if err := f.execute(ctx, tx, append(f.engine.prelude, "CREATE TABLE IF NOT EXISTS migrations (number BIGINT PRIMARY KEY, applied {time})")); err != nil {
			return err
		}
		have, err := f.version(ctx, tx)
		if err != nil || have == len(steps) {
			return err
		}
		if have > len(steps) {
			return f.later(have, len(steps))
		}
		return f.step(ctx, tx, have, steps)
	})
}

// step makes the tables and the views, which are made of them anew.
func (f *Fleet) step(ctx context.Context, tx *sql.Tx, have int, steps []migration) error {
	views := statementsIn("schema/views.sql")
	var all []string
	for _, view := range views {
		all = append(all, "DROP VIEW IF EXISTS "+strings.Fields(view)[2])
	}
	for _, step := range steps[have:] {
		all = append(all, step.statements...)
	}
	all = append(append(all, views...), f.documentation()...)
	if f.engine == &sqlite {
		all = append(all, fmt.Sprintf("PRAGMA application_id = %d", applicationID))
	}
	if err := f.execute(ctx, tx, all); err != nil {
		return err
	}
	for number := have + 1; number <= len(steps); number++ {
		if _, err := tx.ExecContext(ctx, f.sql("INSERT INTO migrations (number, applied) VALUES ($1, $2)"), number, sheet.Timestamp(time.Now())); err != nil {
			return err
		}
	}
	return nil
}

// documentation puts into the database what its columns are.
func (f *Fleet) documentation() []string {
	all := []string{
		"CREATE TABLE IF NOT EXISTS about_columns (view_name {text}, column_name {text}, description {text}, PRIMARY KEY (view_name, column_name))",
		"DELETE FROM about_columns",
	}
	for _, c := range columnTexts() {
		text := "'" + strings.ReplaceAll(c.text, "'", "''") + "'"
		all = append(all, fmt.Sprintf("INSERT INTO about_columns VALUES ('%s', '%s', %s)", c.view, c.name, text))
		if f.engine.comments {
			all = append(all, fmt.Sprintf("COMMENT ON COLUMN %s.%s IS %s", c.view, c.name, text))
		}
	}
	return all
}

func (f *Fleet) execute(ctx context.Context, tx *sql.Tx, statements []string) error {
	for _, one := range statements {
		if _, err := tx.ExecContext(ctx, f.engine.words.Replace(one)); err != nil {
			return fmt.Errorf("%.60s: %w", one, err)
		}
	}
	return nil
}

// isOurs refuses a file of SQLite that is something else.
func (f *Fleet) isOurs(ctx context.Context, tx *sql.Tx) error {
	if f.engine != &sqlite {
		return nil
	}
	var id, tables int64
	if err := tx.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return err
	}
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_master").Scan(&tables); err != nil {
		return err
	}
	if tables > 0 && id != applicationID {
		return &DatabaseError{f.name, "this is a database of something else", "name another file, or a folder", nil}
	}
	return nil
}

// version is how many steps were taken.
func (f *Fleet) version(ctx context.Context, tx *sql.Tx) (have int, err error) {
	err = tx.QueryRowContext(ctx, "SELECT coalesce(max(number), 0) FROM migrations").Scan(&have)
	return have, err
}

func (f *Fleet) later(have, known int) error {
	return &DatabaseError{
		f.name, fmt.Sprintf("its tables are of version %d, and this program knows those up to version %d", have, known),
		"use a newer arctally; this one changes nothing here",
		nil,
	}
}

// ready refuses a database that no question can be asked of.
func (f *Fleet) ready(ctx context.Context, steps []migration) error {
	tx, err := f.db.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return f.failed("begin", err)
	}
	err = f.readyIn(ctx, tx, steps)
	return errors.Join(f.failed("look", err), ignoreDone(tx.Rollback()))
}

func (f *Fleet) readyIn(ctx context.Context, tx *sql.Tx, steps []migration) error {
	if err := f.isOurs(ctx, tx); err != nil {
		return err
	}
	var tables int
	where := "sqlite_master WHERE name = 'migrations'"
	if f.engine == &postgres {
		where = "pg_tables WHERE schemaname = '" + schemaName + "' AND tablename = 'migrations'"
	}
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM "+where).Scan(&tables); err != nil {
		return err
	}
	have := 0
	if tables > 0 {
		var err error
		if have, err = f.version(ctx, tx); err != nil {
			return err
		}
	}
	switch {
	case have > len(steps):
		return f.later(have, len(steps))
	case have == 0:
		return &DatabaseError{f.name, "nothing was taken in here yet", "arctally fleet take-in FOLDER --into DATABASE", nil}
	case have < len(steps):
		return &DatabaseError{f.name, fmt.Sprintf("its tables are of version %d, and this program asks those of version %d", have, len(steps)), "take something in with this program: that brings them to its version", nil}
	}
	return nil
}
