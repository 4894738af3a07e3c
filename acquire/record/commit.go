package record

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"time"

	"arctally/acquire/record/codec"
	"arctally/acquire/seal"
	"arctally/acquire/series"
)

// committer turns groups into rows. Only the Writer's own goroutine uses it.
type committer struct {
	path    string
	conn    *sql.Conn
	now     func() time.Time
	chain   *chain
	packer  *codec.Packer
	number  int64 // of the last commit group
	changes int64 // of the shape that the file was found to have
	insert  map[*table]*sql.Stmt
	head    *sql.Stmt

	table    *table // whose rows are being added
	position int64  // in that table, of this group
	values   []any
	payload  []byte
	content  []byte
	digests  map[int]*digester // by box

	key     atomic.Pointer[seal.Key] // by which the record is sealed; nil is not
	sealing sealing
	wall    time.Time // when the group that is being written is
}

func newCommitter(path string, conn *sql.Conn, now func() time.Time) *committer {
	return &committer{path: path, conn: conn, now: now, chain: newChain(), packer: codec.NewPacker(), digests: map[int]*digester{}}
}

// prepare makes the statements, once the tables are there.
func (c *committer) prepare() error {
	c.insert = make(map[*table]*sql.Stmt, len(chained))
	for _, t := range chained {
		s, err := c.conn.PrepareContext(context.Background(), t.insert())
		if err != nil {
			return wrap(c.path, "prepare", err)
		}
		c.insert[t] = s
	}
	var err error
	c.head, err = c.conn.PrepareContext(context.Background(),
		"INSERT INTO commits ("+commitColumns+") VALUES (?,?,?,?,?,?,?,?,?,?)")
	return wrap(c.path, "prepare", err)
}

func (c *committer) close() error {
	var errs []error
	for _, s := range c.insert {
		errs = append(errs, s.Close())
	}
	if c.head != nil {
		errs = append(errs, c.head.Close())
	}
	return errors.Join(errs...)
}

// first makes the tables and the first commit, which holds what never changes.
func (c *committer) first(m Meta) error {
	if err := c.exec(fmt.Sprintf("PRAGMA page_size = %d", pageSize)); err != nil {
		return err
	}
	return c.transaction(func() error {
		for _, statement := range schema() {
			if err := c.exec(statement); err != nil {
				return err
			}
		}
		if err := c.prepare(); err != nil {
			return err
		}
		return c.numbered(new(group), func() error { return c.describe(m) })
	})
}

// describe writes the rows of the first commit.
func (c *committer) describe(m Meta) error {
	for _, topic := range about {
		if err := c.row(&aboutTable, topic[0], topic[1]); err != nil {
			return err
		}
	}
	for _, pair := range [][2]string{
		{metaJob, m.Job}, {metaProcedure, m.Procedure}, {metaCreated, m.Created.Format(time.RFC3339Nano)},
	} {
		if err := c.row(&metaTable, pair[0], pair[1]); err != nil {
			return err
		}
	}
	names := make([]string, 0, len(m.Documents))
	for name := range m.Documents {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		if err := c.row(&documentsTable, name, m.Documents[name]); err != nil {
			return err
		}
	}
	return nil
}

// The keys of the table meta.
const (
	metaJob       = "job"
	metaProcedure = "procedure"
	metaCreated   = "created"
)

// all makes the groups durable, in one transaction.
func (c *committer) all(groups []*group) error {
	return c.transaction(func() error {
		for _, g := range groups {
			if err := c.numbered(g, func() error { return c.rows(g) }); err != nil {
				return err
			}
			if err := c.vouch(g.entries); err != nil {
				return err
			}
		}
		return nil
	})
}

// transaction runs do between BEGIN and COMMIT. An error leaves the record as it was.
func (c *committer) transaction(do func() error) error {
	if err := c.exec("BEGIN IMMEDIATE"); err != nil {
		return err
	}
	err := c.unbent()
	if err == nil {
		err = do()
	}
	if err != nil {
		return also(wrap(c.path, "write", err), c.exec("ROLLBACK"))
	}
	return c.exec("COMMIT")
}

func (c *committer) exec(statement string) error {
	_, err := c.conn.ExecContext(context.Background(), statement)
	return wrap(c.path, "write", err)
}

// numbered writes the rows of one group and its link of the chain.
func (c *committer) numbered(g *group, rows func() error) error {
	c.number++
	c.table, c.wall, c.sealing.wrote = nil, c.now(), true
	c.chain.begin()
	if err := rows(); err != nil {
		return err
	}
	var first, last any
	if g.hasBlocks {
		first, last = g.first, g.last
	}
	columns := append(c.values[:0], c.number, c.wall.UnixNano(), int64(g.blocksEpoch), first, last,
		int64(g.samples), count(g.source != nil), int64(len(g.events)), c.chain.rows)
	columns = append(columns, c.chain.end(columns))
	_, err := c.head.Exec(columns...)
	c.values = columns
	return wrap(c.path, "write", err)
}

// row adds one row to a table and to the chain.
func (c *committer) row(t *table, columns ...any) error {
	if t != c.table {
		c.table, c.position = t, 0
	}
	c.position++
	c.values = append(append(c.values[:0], c.number*idsPerCommit+c.position), columns...)
	c.chain.row(t.name, c.values)
	_, err := c.insert[t].Exec(c.values...)
	return wrap(c.path, "write", err)
}

// rows writes what a group holds, table by table in the order of the chain.
func (c *committer) rows(g *group) error {
	for k, text := range g.checks {
		if err := c.row(&documentsTable, checkName(c.number, k+1), text); err != nil {
			return err
		}
	}
	if g.source != nil {
		if err := c.source(g); err != nil {
			return err
		}
	}
	for i := range g.calibrations {
		k := &g.calibrations[i]
		if err := c.row(&calibrationTable, int64(k.Epoch), k.Tick, k.Channel, k.Gain, k.Offset, k.Relative,
			k.Date, k.Due, k.Certificate); err != nil {
			return err
		}
	}
	for i := range g.fits {
		f := &g.fits[i]
		if err := c.row(&clockTable, int64(f.Epoch), f.Tick, instant(f.Wall), f.Slope, instant(f.Arrival)); err != nil {
			return err
		}
	}
	for i := range g.events {
		e := &g.events[i]
		if err := c.row(&eventsTable, string(e.Kind), int64(e.Epoch), e.Tick, e.Until, e.Count, e.Text); err != nil {
			return err
		}
	}
	if err := c.chunks(g); err != nil {
		return err
	}
	if err := c.people(g); err != nil {
		return err
	}
	if err := c.digest(g); err != nil {
		return err
	}
	return c.due()
}

// people writes what people put on record.
func (c *committer) people(g *group) error {
	for i := range g.entries {
		e := &g.entries[i]
		if err := c.row(&entriesTable, e.Kind, instant(e.At), e.By, e.Text); err != nil {
			return err
		}
	}
	for i := range g.photographs {
		if err := c.photograph(&g.photographs[i]); err != nil {
			return err
		}
	}
	return nil
}

// source writes the description that is in force from this group on.
func (c *committer) source(g *group) error {
	description, err := encodeSource(g.source)
	if err != nil {
		return &Error{Kind: Failed, Path: c.path, Detail: "describe the source", Err: err}
	}
	if err := c.row(&sourcesTable, int64(g.epoch), g.tick, description); err != nil {
		return err
	}
	id := c.number*idsPerCommit + c.position
	for k, channel := range g.source.Channels {
		if err := c.row(&channelsTable, id, int64(k), channel.Name, channel.Unit, channel.Scale, channel.Offset,
			int64(channel.Bits), channel.Basis.String()); err != nil {
			return err
		}
	}
	return nil
}

// instant is a wall time as a record keeps it: Unix nanoseconds, NULL where it is not known.
func instant(t time.Time) any {
	if t.IsZero() {
		return nil
	}
	return t.UnixNano()
}

func count(yes bool) int64 {
	if yes {
		return 1
	}
	return 0
}

var kindNames = map[series.Kind]string{series.Arc: "arc", series.Sums: "sums", series.Slow: "slow", series.Turn: "turn"}
