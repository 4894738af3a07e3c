package record

import (
	"context"
	"fmt"
)

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

// schemaSince returns the statements that make what came with a version or later.
func schemaSince(version int64) []string {
	var statements []string
	for _, t := range chained {
		if t.since >= version {
			statements = append(statements, t.create())
		}
	}
	for _, x := range indexes {
		if x.since >= version {
			statements = append(statements, x.create)
		}
	}
	return append(statements, fmt.Sprintf("PRAGMA user_version = %d", formatVersion))
}
