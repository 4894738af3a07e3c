//go:build linux

package main

import (
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx"
	"github.com/stretchr/testify/require"
)

// tables are those of a fleet that say of each job what its results say, by the column that names the job.
// What may differ from one taking in to another is left out: when that was, and by which name the record
// was found.
var tables = map[string]string{
	"jobs": "id", "passes": "job", "findings": "job", "events": "job", "dispositions": "job", "checks": "job", "calibrations": "job", "boxes": "job",
	"barred": "job", "points": "job",
}

var leftOut = []string{"taken_in", "record"}

// sums are what all jobs came to, whatever the order in which they were taken in.
var sums = []string{
	"SELECT question, procedure, word, n FROM tallies WHERE n <> 0",
	"SELECT id, measure, side, procedure, member, passes, n, first_value, last_value FROM charts",
	"SELECT holder, channel, done, due, certificate FROM newest_calibrations",
	"SELECT id, name, definition, window_low_j_per_m, window_high_j_per_m FROM procedures",
}

// fleetRows are all rows of a fleet, as text.
type fleetRows struct {
	counts  map[string]int      // by table
	digests map[string][]string // by the digest of a job
	sums    []string
}

func readFleet(t *testing.T, driver, address string) fleetRows {
	t.Helper()
	db, err := sql.Open(driver, address)
	require.NoError(t, err)
	defer func() { require.NoError(t, db.Close()) }()
	if driver == "pgx" {
		db.SetMaxOpenConns(1)
		_, err = db.ExecContext(t.Context(), "SET search_path = arctally")
		require.NoError(t, err)
	}
	all := fleetRows{counts: map[string]int{}, digests: map[string][]string{}}
	of, digestOf := map[string][]string{}, map[string]string{}
	for _, table := range slices.Sorted(maps.Keys(tables)) {
		for _, row := range readRows(t, db, "SELECT * FROM "+table) {
			all.counts[table]++
			job := row[tables[table]]
			if table == "jobs" {
				require.NotContains(t, digestOf, job)
				digestOf[job] = row["digest"]
			}
			of[job] = append(of[job], table+" "+lineOf(row))
		}
	}
	require.Len(t, of, len(digestOf), "each row belongs to a job that is there")
	for job, lines := range of {
		slices.Sort(lines)
		all.digests[digestOf[job]] = lines
	}
	for _, query := range sums {
		for _, row := range readRows(t, db, query) {
			all.sums = append(all.sums, query[strings.Index(query, "FROM"):]+" "+lineOf(row))
		}
	}
	slices.Sort(all.sums)
	return all
}

// readRows reads rows by the names of their columns.
func readRows(t *testing.T, db *sql.DB, query string) (all []map[string]string) {
	t.Helper()
	found, err := db.QueryContext(t.Context(), query)
	require.NoError(t, err)
	names, err := found.Columns()
	require.NoError(t, err)
	for found.Next() {
		values, places := make([]any, len(names)), make([]any, len(names))
		for k := range values {
			places[k] = &values[k]
		}
		require.NoError(t, found.Scan(places...))
		row := map[string]string{}
		for k, name := range names {
			if !slices.Contains(leftOut, name) {
				row[name] = textOf(values[k])
			}
		}
		all = append(all, row)
	}
	require.NoError(t, found.Err())
	require.NoError(t, found.Close())
	return all
}

// textOf is a value as both engines have it: one of them keeps true and false as 1 and 0.
func textOf(value any) string {
	switch value {
	case true:
		return "1"
	case false:
		return "0"
	default:
		return fmt.Sprintf("%v", value)
	}
}

func lineOf(row map[string]string) string {
	var b strings.Builder
	for _, name := range slices.Sorted(maps.Keys(row)) {
		fmt.Fprintf(&b, "%s=%q ", name, row[name])
	}
	return b.String()
}

// requireSame wants two fleets to have the same rows of the same jobs.
func requireSame(t *testing.T, want, got fleetRows) {
	t.Helper()
	require.Equal(t, want.counts, got.counts)
	require.Equal(t, slices.Sorted(maps.Keys(want.digests)), slices.Sorted(maps.Keys(got.digests)))
	for digest, lines := range want.digests {
		require.Equal(t, lines, got.digests[digest], digest)
	}
	require.Equal(t, want.sums, got.sums)
}
