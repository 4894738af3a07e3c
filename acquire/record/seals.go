package record

import (
	"context"
	"encoding/hex"
	"time"

	"arctally/acquire/seal"
)

// sealPeriod is how long a recording goes on without a seal.
const sealPeriod = time.Minute

// sealing is where the sealing of a record stands.
type sealing struct {
	record string    // the hash of the first group
	last   time.Time // of the last seal of this writer
	wrote  bool      // something that no end mark stands behind
}

// SealWith has the record sealed by a key from here on: with the next commit, every
// minute, behind each entry of a person, and when it is closed.
func (w *Writer) SealWith(k *seal.Key) { w.commit.key.Store(k) }

// identity finds out which record it is, for its seals to name it.
func (c *committer) identity(ctx context.Context) error {
	var head []byte
	err := c.conn.QueryRowContext(ctx, "SELECT hash FROM commits WHERE number = 1").Scan(&head)
	c.sealing.record = hex.EncodeToString(head)
	return wrap(c.path, "read", err)
}

// due seals the groups before the one that is being written, where it is time.
func (c *committer) due() error {
	k := c.key.Load()
	switch gone := c.wall.Sub(c.sealing.last); {
	case k == nil:
		return nil
	case c.sealing.last.IsZero():
		return c.seal(k, seal.Start, nil)
	case gone >= sealPeriod || gone < 0:
		return c.seal(k, seal.Minute, nil)
	}
	return nil
}

// seal adds a seal of the groups before the one that is being written.
func (c *committer) seal(k *seal.Key, mark seal.Mark, entries []int64) error {
	s := seal.Statement{
		Record: c.sealing.record, Group: c.number - 1, Head: hex.EncodeToString(c.chain.head[:]),
		At: c.wall, Mark: mark, Person: k.Person, By: k.Name, Entries: entries,
	}
	text := s.Text()
	c.sealing.last = c.wall
	return c.row(&sealsTable, text, k.Sign([]byte(text)))
}

// vouch seals the entries of the group before, each with the key of who put it there, or
// else with that of the machine.
func (c *committer) vouch(entries []Entry) error {
	machine := c.key.Load()
	var keys []*seal.Key
	numbers := map[*seal.Key][]int64{}
	for _, e := range entries {
		k := e.Key
		if k == nil {
			k = machine
		}
		if k == nil {
			continue
		}
		if numbers[k] == nil {
			keys = append(keys, k)
		}
		numbers[k] = append(numbers[k], e.Number)
	}
	if keys == nil {
		return nil
	}
	return c.numbered(new(group), func() error {
		for _, k := range keys {
			if err := c.seal(k, seal.Entry, numbers[k]); err != nil {
				return err
			}
		}
		return nil
	})
}

// end puts the end mark behind what was written.
func (c *committer) end() error {
	k := c.key.Load()
	if k == nil || !c.sealing.wrote {
		return nil
	}
	return c.transaction(func() error {
		return c.numbered(new(group), func() error { return c.seal(k, seal.End, nil) })
	})
}

// signed says for which entries a person's key vouches; groups are those that hold them.
func (r *Reader) signed(entries []Entry, groups []int64) error {
	if has, err := r.has(&sealsTable); !has {
		return err
	}
	seals, err := r.sealsOfPeople()
	if err != nil || len(seals) == 0 {
		return err
	}
	v := rechain{reader: r, chain: newChain(), tables: tablesOf(latestVersion), take: func(*table, []any) {}}
	defer v.close()
	if err := v.prepare(); err != nil {
		return err
	}
	first, err := v.alone(1)
	if err != nil {
		return err
	}
	for _, s := range seals {
		// What is shown is what was signed, whether or not somebody verified all of the record.
		head, err := v.alone(s.Group)
		if err != nil {
			return err
		}
		if s.In != s.Group+1 || s.Record != hex.EncodeToString(first) || s.Head != hex.EncodeToString(head) {
			continue // it vouches for nothing, and Verify says why
		}
		for _, n := range s.Entries {
			if n >= 1 && n <= int64(len(entries)) && entries[n-1].By == s.By && groups[n-1] == s.Group {
				entries[n-1].Signed = s.Key.Fingerprint()
			}
		}
	}
	return nil
}

// sealsOfPeople returns the seals that people's keys made, as they stand there: of which
// record and group they are is not looked at.
func (r *Reader) sealsOfPeople() (found []Sealed, err error) {
	const query = `SELECT commit_number, text, signature FROM seals
		WHERE ` + ofGroups + ` AND instr(text, char(10) || 'person: ') > 0 ORDER BY id`
	err = r.each(query, nil, func(scan func(...any) error) error {
		var in int64
		var text string
		var signature []byte
		if err := scan(&in, &text, &signature); err != nil {
			return err
		}
		s, unread := seal.Parse(text)
		key, unsigned := seal.Verify([]byte(text), signature)
		if unread == nil && unsigned == nil {
			found = append(found, Sealed{*s, key, in, signature})
		}
		return nil
	})
	return found, err
}
