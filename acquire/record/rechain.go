package record

import (
	"bytes"
	"context"
	"crypto/sha256"
	"database/sql"
	"fmt"
)

// rechain computes the hashes of groups anew from their rows.
type rechain struct {
	reader *Reader
	chain  *chain
	tables []*table    // that a record of its version has
	rows   []*sql.Stmt // by table
	counts []int64     // of rows seen, by table
	take   func(*table, []any)
}

func (v *rechain) prepare() error {
	v.counts = make([]int64, len(v.tables))
	for _, t := range v.tables {
		s, err := v.reader.db.PrepareContext(context.Background(),
			fmt.Sprintf("SELECT %s FROM %s WHERE id >= ? AND id < ? ORDER BY id", t.list(), t.name))
		if err != nil {
			return v.reader.damage("read", err)
		}
		v.rows = append(v.rows, s)
	}
	return nil
}

func (v *rechain) close() {
	for _, s := range v.rows {
		_ = s.Close() // a statement that only read has nothing to lose
	}
}

// hash returns the hash of the next group, whose columns of commits are given.
func (v *rechain) hash(number int64, columns []any) ([]byte, error) {
	v.chain.begin()
	for k, t := range v.tables {
		if err := v.table(k, t, number); err != nil {
			return nil, err
		}
	}
	return v.chain.end(columns[:len(columns)-1]), nil
}

// table covers the rows of one table in one group.
func (v *rechain) table(k int, t *table, number int64) error {
	rows, err := v.rows[k].QueryContext(context.Background(), number*idsPerCommit, (number+1)*idsPerCommit)
	if err != nil {
		return v.reader.damage("read "+t.name, err)
	}
	values := make([]any, len(t.columns)+1)
	into := pointers(values)
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return also(v.reader.damage("read "+t.name, err), rows.Close())
		}
		v.chain.row(t.name, values)
		v.take(t, values)
		v.counts[k]++
	}
	if err := rows.Err(); err != nil {
		return also(v.reader.damage("read "+t.name, err), rows.Close())
	}
	return v.reader.damage("read "+t.name, rows.Close())
}

// alone returns the hash that a group has behind the hash that the group before it is
// stored with, by the rows of both as they are now; nil where one of them is not there.
func (v *rechain) alone(number int64) ([]byte, error) {
	var columns []any
	v.chain.head = [sha256.Size]byte{}
	err := v.reader.each("SELECT "+commitColumns+" FROM commits WHERE number BETWEEN ? AND ? ORDER BY number", []any{number - 1, number}, func(scan func(...any) error) error {
		columns = make([]any, 10)
		err := scan(pointers(columns)...)
		if former, ok := columns[9].([]byte); ok && columns[0] == number-1 {
			copy(v.chain.head[:], former)
		}
		return err
	})
	if err != nil || columns == nil || columns[0] != number {
		return nil, err
	}
	head, err := v.hash(number, columns)
	return bytes.Clone(head), err
}
