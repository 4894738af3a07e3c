package record

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"arctally/acquire/series"
)

// state is where a record stops.
type state struct {
	samples   int64
	epoch     int // of the last sample of the box that tells the arc
	tick      int64
	hasTick   bool
	source    series.Source // of that box
	hasSource bool
	next      int // the first epoch that nothing has
	entries   int64
	pictures  map[string]bool
}

// resume takes up the chain and returns where the record stops.
func (c *committer) resume() (state, error) {
	ctx := context.Background()
	found, err := inspect(ctx, c.path, c.conn)
	if err != nil {
		return state{}, err
	}
	if err := journal(ctx, c.path, c.conn); err != nil {
		return state{}, err
	}
	if err := c.lastHash(ctx); err != nil {
		return state{}, err
	}
	if err := c.identity(ctx); err != nil {
		return state{}, err
	}
	s, err := c.lastPlace(ctx)
	if err != nil {
		return state{}, err
	}
	c.changes = found.changes
	if found.version < latestVersion {
		err = c.upgrade(found.version)
	} else {
		err = c.prepare()
	}
	if err != nil {
		return state{}, err
	}
	err = c.lastOfPeople(ctx, &s)
	return s, err
}

// lastOfPeople takes up what people put on record.
func (c *committer) lastOfPeople(ctx context.Context, s *state) error {
	if err := c.conn.QueryRowContext(ctx, "SELECT count(*) FROM entries").Scan(&s.entries); err != nil {
		return wrap(c.path, "read", err)
	}
	rows, err := c.conn.QueryContext(ctx, "SELECT sha256 FROM photographs WHERE part = 0")
	if err != nil {
		return wrap(c.path, "read", err)
	}
	s.pictures = map[string]bool{}
	for rows.Next() {
		var digest string
		if err := rows.Scan(&digest); err != nil {
			return also(wrap(c.path, "read", err), rows.Close())
		}
		s.pictures[digest] = true
	}
	return wrap(c.path, "read", also(rows.Err(), rows.Close()))
}

// lastHash takes up the chain where it ends.
func (c *committer) lastHash(ctx context.Context) error {
	var head []byte
	err := c.conn.QueryRowContext(ctx, "SELECT number, hash FROM commits ORDER BY number DESC LIMIT 1").Scan(&c.number, &head)
	if errors.Is(err, sql.ErrNoRows) || err == nil && len(head) != len(c.chain.head) {
		return &Error{Kind: Damaged, Path: c.path, Detail: fmt.Sprintf("the last of %d commits has no hash", c.number)}
	}
	copy(c.chain.head[:], head)
	return wrap(c.path, "read", err)
}

// isOfCompanion is what the rows of sources that a companion wrote have in common, to
// SQL. A description that is none is that of nobody.
const isOfCompanion = "CASE WHEN json_valid(description) THEN coalesce(json_extract(description, '$.box'), 0) > 0 ELSE 0 END"

// lastPlace returns the last sample's place and the source in force.
func (c *committer) lastPlace(ctx context.Context) (state, error) {
	var s state
	if err := c.conn.QueryRowContext(ctx, "SELECT coalesce(sum(samples), 0) FROM commits").Scan(&s.samples); err != nil {
		return s, wrap(c.path, "read", err)
	}
	if err := c.nextEpoch(ctx, &s); err != nil {
		return s, err
	}
	err := c.conn.QueryRowContext(ctx, `SELECT epoch, last_tick FROM commits WHERE last_tick IS NOT NULL
		AND epoch NOT IN (SELECT epoch FROM sources WHERE `+isOfCompanion+`) ORDER BY number DESC LIMIT 1`).Scan(&s.epoch, &s.tick)
	if err == nil {
		s.hasTick = true
	} else if !errors.Is(err, sql.ErrNoRows) {
		return s, wrap(c.path, "read", err)
	}
	var description string
	err = c.conn.QueryRowContext(ctx, "SELECT description FROM sources WHERE NOT "+isOfCompanion+" ORDER BY id DESC LIMIT 1").Scan(&description)
	if errors.Is(err, sql.ErrNoRows) {
		return s, nil
	} else if err != nil {
		return s, wrap(c.path, "read", err)
	}
	s.source, err = decodeSource(description)
	if err != nil {
		return s, &Error{Kind: Damaged, Path: c.path, Detail: "sources", Err: err}
	}
	s.hasSource = true
	c.digests[0] = &digester{longest: s.source.MaxStep}
	return s, nil
}

// nextEpoch finds the first epoch that nothing has that a box said. What people typed
// in stands in an epoch that was there, or in none.
func (c *committer) nextEpoch(ctx context.Context, s *state) error {
	const query = `SELECT coalesce(max(epoch), -1) + 1 FROM (SELECT epoch FROM commits WHERE last_tick IS NOT NULL
		UNION ALL SELECT epoch FROM clock UNION ALL SELECT epoch FROM sources WHERE ` + isOfCompanion + `
		UNION ALL SELECT epoch FROM events WHERE kind NOT IN ('resumed', 'remark'))`
	return wrap(c.path, "read", c.conn.QueryRowContext(ctx, query).Scan(&s.next))
}

// upgrade gives a record of an older version the tables that it has not, in one
// transaction: no row that is there changes, and the chain goes on over them. What
// the table about says anew is added to it.
func (c *committer) upgrade(from int64) error {
	return c.transaction(func() error {
		for _, statement := range schemaSince(from + 1) {
			if err := c.exec(statement); err != nil {
				return err
			}
		}
		if err := c.prepare(); err != nil {
			return err
		}
		var err error
		if c.changes, err = changesOf(context.Background(), c.path, c.conn); err != nil {
			return err
		}
		said, err := c.said()
		if err != nil {
			return err
		}
		return c.numbered(new(group), func() error {
			for _, topic := range about {
				if said[topic[0]] == topic[1] {
					continue
				}
				if err := c.row(&aboutTable, topic[0], topic[1]); err != nil {
					return err
				}
			}
			return nil
		})
	})
}

// said returns what the record says of itself.
func (c *committer) said() (map[string]string, error) {
	rows, err := c.conn.QueryContext(context.Background(), "SELECT topic, text FROM about ORDER BY id")
	if err != nil {
		return nil, wrap(c.path, "read", err)
	}
	said := map[string]string{}
	for rows.Next() {
		var topic, text string
		if err := rows.Scan(&topic, &text); err != nil {
			return nil, also(wrap(c.path, "read", err), rows.Close())
		}
		said[topic] = text
	}
	return said, wrap(c.path, "read", also(rows.Err(), rows.Close()))
}
