package record

import (
	"context"
	"database/sql"
	"fmt"

	"arctally/acquire/record/codec"
)

// storedPart is a part of a chunk as it is in its row, with its payload in the memory of
// storedRows.
type storedPart struct {
	part
	kindName, name string
	how            int64
	from, to       int
}

// storedRows reads the rows of chunks. It reads those of several groups at once, where they
// follow one another: a query costs as much as the rows of a short group do.
type storedRows struct {
	reader *Reader
	which  string // of the chunks are read, to SQL; empty is all
	query  *sql.Stmt
	ahead  []commitHead // of the groups that are asked for next; none asks for one alone

	parts       []storedPart
	memory      []byte
	taken       int   // parts
	first, past int64 // the groups [first, past) are in memory, and not taken

	column  [10]any // as the driver has them: a conversion of each would cost more than the rest of a row
	content sql.RawBytes
	into    [11]any // both, to be scanned into
}

func newStoredRows(r *Reader, which string) *storedRows {
	s := &storedRows{reader: r, which: which}
	for k := range s.column {
		s.into[k] = &s.column[k]
	}
	s.into[len(s.column)] = &s.content
	return s
}

// mostAhead is how many bytes of payloads are read before the last group of them: several
// groups of a second at 10 kHz, and still within the nearer memory of a processor.
const mostAhead = 1 << 18

// following returns the number after those groups that follow one another, from one on.
func (s *storedRows) following(group int64) int64 {
	until := group + 1
	for k := range s.ahead {
		if s.ahead[k].number == until {
			until++
		}
	}
	return until
}

func (s *storedRows) close() {
	if s.query != nil {
		_ = s.query.Close() // a statement that only read has nothing to lose
	}
}

// read has the parts of a group in memory. Where those of the groups asked for with it
// cannot be read, it is read alone: what is before the damage is still to be had.
func (s *storedRows) read(group int64) error {
	if s.first <= group && group < s.past {
		return nil
	}
	until := s.following(group)
	err := s.fetch(group, until)
	if err != nil && until > group+1 {
		err = s.fetch(group, group+1)
	}
	return err
}

// next takes the next part of a group, nil where there is none.
func (s *storedRows) next(group int64) *storedPart {
	for ; s.taken < len(s.parts) && s.parts[s.taken].row < (group+1)*idsPerCommit; s.taken++ {
		if p := &s.parts[s.taken]; p.row >= group*idsPerCommit {
			s.taken++
			return p
		}
	}
	s.first = group + 1
	return nil
}

// payload is that of a part. It lasts until other groups are read.
func (s *storedRows) payload(p *storedPart) []byte { return s.memory[p.from:p.to] }

// fetch reads the parts of groups [from, until), or of as many as there is room for, and
// makes sure that they are of one state of the file.
func (s *storedRows) fetch(from, until int64) error {
	s.parts, s.memory, s.taken, s.first, s.past = s.parts[:0], s.memory[:0], 0, from, from
	rows, err := s.rows(from, until)
	if err != nil {
		return s.reader.damage("read chunks", err)
	}
	for rows.Next() {
		full, err := s.keep(rows)
		if err != nil {
			return also(err, rows.Close())
		}
		if full {
			until = s.parts[len(s.parts)-1].row/idsPerCommit + 1
			break
		}
	}
	if err := rows.Err(); err != nil {
		return also(s.reader.damage("read chunks", err), rows.Close())
	}
	if err := rows.Close(); err != nil {
		return s.reader.damage("read chunks", err)
	}
	if err := s.reader.unchanged(); err != nil {
		return err
	}
	s.past = until
	return nil
}

func (s *storedRows) rows(from, until int64) (*sql.Rows, error) {
	ctx := context.Background()
	if s.query == nil {
		var err error
		s.query, err = s.reader.db.PrepareContext(ctx, "SELECT "+chunksTable.list()+" FROM chunks WHERE id >= ? AND id < ? "+s.which+" ORDER BY id")
		if err != nil {
			return nil, err
		}
	}
	return s.query.QueryContext(ctx, from*idsPerCommit, until*idsPerCommit)
}

// keep takes a row into memory, or says that its group has no room there any more: a group
// is read whole.
func (s *storedRows) keep(rows *sql.Rows) (full bool, err error) {
	if err := rows.Scan(s.into[:]...); err != nil {
		return false, s.reader.damage("read chunks", err)
	}
	var p storedPart
	var epoch, n, broken int64
	for k, into := range [...]*int64{0: &p.row, 1: &p.chunk, 4: &epoch, 5: &p.head.tick, 6: &p.head.step, 7: &n, 8: &broken, 9: &p.how} {
		if into == nil {
			continue
		}
		var whole bool
		if *into, whole = s.column[k].(int64); !whole {
			return false, s.reader.chunkDamaged(p.row, fmt.Errorf("%w: column %d is no whole number", codec.ErrPayload, k))
		}
	}
	var named, parted bool
	p.kindName, named = s.column[2].(string)
	if p.name, parted = s.column[3].(string); !named || !parted {
		return false, s.reader.chunkDamaged(p.row, fmt.Errorf("%w: kind and part are no words", codec.ErrPayload))
	}
	if len(s.memory) >= mostAhead && p.row/idsPerCommit != s.parts[len(s.parts)-1].row/idsPerCommit {
		return true, nil
	}
	p.kind = kindsByName[p.kindName]
	p.head.kind, p.head.epoch, p.head.n, p.head.broken = p.kind, int(epoch), int(n), broken != 0
	p.from = len(s.memory)
	s.memory = append(s.memory, s.content...)
	p.to = len(s.memory)
	s.parts = append(s.parts, p)
	return false, nil
}
