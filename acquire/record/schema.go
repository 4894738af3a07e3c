package record

import (
	"fmt"
	"slices"
	"strings"
)

// applicationID marks the file as a record, in the header that SQLite keeps for
// that purpose: the letters "arct".
const applicationID = 0x61726374

// The versions of the format: the one that this program writes, which is the latest
// that it reads, the first one that may hold several boxes, and the first one that has
// digests. FORMAT.md holds the history.
const (
	latestVersion  = 4
	severalVersion = 3
	digestVersion  = 4
	sealVersion    = 4
)

// idsPerCommit spaces the ids of rows: id = commit number * idsPerCommit + position.
const idsPerCommit = 1_000_000

// pageSize is the one with which a record is smallest, and read with the least work:
// FORMAT.md has the figures.
const pageSize = 4096

// table is one table whose rows belong to commit groups and to the chain.
type table struct {
	name    string
	columns []string // in the order in which the chain covers them, after id
	types   string   // one letter a column: i integer, r real, t text, b blob
	since   int64    // the version of the format that it came with
}

// The tables of the chain, in the order in which a group's rows enter its hash.
var (
	aboutTable       = table{"about", []string{"topic", "text"}, "tt", 1}
	metaTable        = table{"meta", []string{"key", "value"}, "tt", 1}
	documentsTable   = table{"documents", []string{"name", "text"}, "tt", 1}
	sourcesTable     = table{"sources", []string{"epoch", "tick", "description"}, "iit", 1}
	channelsTable    = table{"channels", []string{"source", "channel", "name", "unit", "scale", "offset", "bits", "basis"}, "iittrrit", 1}
	calibrationTable = table{"calibrations", []string{"epoch", "tick", "channel", "gain", "offset", "relative", "date", "due", "certificate"}, "iitrrrttt", 1}
	clockTable       = table{"clock", []string{"epoch", "tick", "wall", "slope", "arrival"}, "iiiri", 1}
	eventsTable      = table{"events", []string{"kind", "epoch", "tick", "until", "count", "text"}, "tiiiit", 1}
	chunksTable      = table{"chunks", []string{"chunk", "kind", "part", "epoch", "tick", "step", "n", "break", "codec", "payload"}, "ittiiiiiib", 1}
	secondsTable     = table{"seconds", []string{"channel", "epoch", "second", "min", "max", "sum", "count"}, "iiirrri", 1}
	entriesTable     = table{"entries", []string{"kind", "at", "by", "text"}, "titt", 2}
	photographsTable = table{"photographs", []string{"sha256", "type", "size", "part", "payload"}, "ttiib", 2}
	digestsTable     = table{"digests", []string{"level", "epoch", "since", "through", "first_tick", "last_tick", "codec", "payload"}, "iiiiiiib", digestVersion}
	sealsTable       = table{"seals", []string{"text", "signature"}, "tb", sealVersion}
)

var chained = []*table{
	&aboutTable, &metaTable, &documentsTable, &sourcesTable, &channelsTable,
	&calibrationTable, &clockTable, &eventsTable, &chunksTable, &secondsTable, &entriesTable, &photographsTable,
	&digestsTable, &sealsTable,
}

// indexes beside those of the primary keys.
var indexes = []struct {
	since  int64
	create string
}{
	{1, "CREATE INDEX seconds_by_place ON seconds (channel, epoch, second)"},
	{2, "CREATE INDEX photographs_by_content ON photographs (sha256, part)"},
	{digestVersion, "CREATE INDEX digests_by_group ON digests (epoch, level, through) WHERE level > 0"},
	{digestVersion, "CREATE INDEX commits_by_epoch ON commits (epoch)"},
}

// tablesOf returns the tables of the chain that a version of the format has.
func tablesOf(version int64) []*table {
	return slices.DeleteFunc(slices.Clone(chained), func(t *table) bool { return t.since > version })
}

// commitColumns are the columns of the table commits, its number first and its hash last.
const commitColumns = "number, wall, epoch, first_tick, last_tick, samples, sources, events, rows, hash"

var sqlTypes = map[rune]string{'i': "INTEGER", 'r': "REAL", 't': "TEXT", 'b': "BLOB"}

// create returns the statement that makes the table.
func (t *table) create() string {
	var b strings.Builder
	fmt.Fprintf(&b, "CREATE TABLE %s (id INTEGER PRIMARY KEY,\n", t.name)
	for k, kind := range t.types {
		fmt.Fprintf(&b, "  %s %s,\n", quoted(t.columns[k]), sqlTypes[kind])
	}
	fmt.Fprintf(&b, "  commit_number INTEGER GENERATED ALWAYS AS (id / %d) VIRTUAL)", idsPerCommit)
	return b.String()
}

// insert returns the statement that adds a row.
func (t *table) insert() string {
	return fmt.Sprintf("INSERT INTO %s (%s) VALUES (?%s)", t.name, t.list(), strings.Repeat(",?", len(t.columns)))
}

// list returns the columns that the chain covers, id first.
func (t *table) list() string {
	names := []string{"id"}
	for _, c := range t.columns {
		names = append(names, quoted(c))
	}
	return strings.Join(names, ", ")
}

func quoted(name string) string { return `"` + name + `"` }

// schema returns the statements that make an empty record.
func schema() []string {
	return append(schemaSince(1), fmt.Sprintf("PRAGMA application_id = %d", applicationID))
}

// schemaSince returns the statements that make what came with a version or later.
func schemaSince(version int64) []string {
	return append(made(version, latestVersion), fmt.Sprintf("PRAGMA user_version = %d", latestVersion))
}

// made returns the statements that make the tables and indexes that came with one of
// the versions from the first through the last.
func made(first, last int64) []string {
	var statements []string
	within := func(since int64) bool { return first <= since && since <= last }
	if within(1) {
		statements = append(statements,
			"CREATE TABLE commits (number INTEGER PRIMARY KEY, wall INTEGER, epoch INTEGER, first_tick INTEGER, last_tick INTEGER,\n"+
				"  samples INTEGER, sources INTEGER, events INTEGER, rows INTEGER, hash BLOB)",
			"CREATE INDEX commits_by_tick ON commits (epoch, last_tick)")
	}
	for _, t := range chained {
		if within(t.since) {
			statements = append(statements, t.create())
		}
	}
	for _, x := range indexes {
		if within(x.since) {
			statements = append(statements, x.create)
		}
	}
	return statements
}
