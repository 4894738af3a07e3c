package record

import (
	"bytes"
	"context"
	"encoding/hex"
	"fmt"
	"math"
)

// Verify reads the whole record and recomputes its chain. It returns nil where
// every row is as it was written; otherwise an *Error with the first commit
// group that is not. It cannot see that whole groups are missing from the end.
func Verify(path string) error {
	r, err := Open(path)
	if err != nil {
		return err
	}
	err = r.Verify()
	return also(err, r.Close())
}

// Verify is the function Verify for an open record: it covers the groups that
// are in it when it is called.
func (r *Reader) Verify() error {
	_, err := r.VerifySeals()
	return err
}

func (r *Reader) verify() (*Sealing, error) {
	if err := r.structure(); err != nil {
		return nil, err
	}
	version, err := r.version()
	if err != nil {
		return nil, err
	}
	if err := r.renewDigested(); err != nil {
		return nil, err
	}
	if version < digestVersion && r.digested < math.MaxInt64 || version < severalVersion && len(r.owners.sources) > 0 {
		return nil, &Error{Kind: Altered, Path: r.path, Detail: fmt.Sprintf("format version %d, where a later one was written", version)}
	}
	v := &verifier{rechain: rechain{reader: r, chain: newChain(), tables: tablesOf(version)}, digests: newDigestVerifier(r)}
	v.take = v.seals.take
	defer v.close()
	if err := v.prepare(); err != nil {
		return nil, err
	}
	last, err := v.groups()
	if err != nil {
		return nil, err
	}
	return &v.seals.found, v.strays(last)
}

// structure lets SQLite check its own pages and indexes.
func (r *Reader) structure() error {
	var found string
	ctx := r.under // SQLite itself breaks off
	if ctx == nil {
		ctx = context.Background()
	}
	if err := r.db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&found); err != nil {
		return r.damage("check", err)
	}
	if found != "ok" {
		return &Error{Kind: Damaged, Path: r.path, Detail: found}
	}
	return nil
}

type verifier struct {
	rechain
	digests *digestVerifier
	seals   sealVerifier
}

func (v *verifier) close() {
	v.digests.close()
	v.rechain.close()
}

// groups checks group after group and returns the number of the last.
func (v *verifier) groups() (int64, error) {
	last := int64(0)
	for {
		heads, err := v.heads(last)
		if err != nil {
			return last, err
		}
		for _, columns := range heads {
			if err := v.group(last+1, columns); err != nil {
				return last, err
			}
			last++
		}
		if len(heads) < commitsAtOnce {
			break
		}
	}
	if last == 0 {
		return 0, &Error{Kind: Altered, Path: v.reader.path, Detail: "it has no commits"}
	}
	return last, nil
}

func (v *verifier) heads(after int64) ([][]any, error) {
	var heads [][]any
	err := v.reader.each("SELECT "+commitColumns+" FROM commits WHERE number > ? ORDER BY number LIMIT ?",
		[]any{after, commitsAtOnce}, func(scan func(...any) error) error {
			columns := make([]any, 10)
			err := scan(pointers(columns)...)
			heads = append(heads, columns)
			return err
		})
	return heads, err
}

func pointers(values []any) []any {
	p := make([]any, len(values))
	for k := range values {
		p[k] = &values[k]
	}
	return p
}

// group recomputes the hash of one group.
func (v *verifier) group(number int64, columns []any) error {
	if err := v.reader.wanted(); err != nil {
		return err
	}
	altered := func(format string, args ...any) error {
		return &Error{Kind: Altered, Path: v.reader.path, Commit: number, Detail: fmt.Sprintf(format, args...)}
	}
	if columns[0] != number {
		return altered("the commit is missing")
	}
	former := hex.EncodeToString(v.chain.head[:])
	computed, err := v.hash(number, columns)
	if err != nil {
		return err
	}
	stored := columns[len(columns)-1]
	if rows := columns[len(columns)-2]; rows != v.chain.rows {
		return altered("%d rows where it was written with %v", v.chain.rows, rows)
	}
	if b, ok := stored.([]byte); !ok || !bytes.Equal(b, computed) {
		return altered("the hash of its rows is not the one that was written")
	}
	if err := v.seals.group(number, former, computed, columns); err != nil {
		return altered("a seal in it: %v", err)
	}
	if number < v.reader.digested {
		return nil
	}
	h, at, ok := headOf(columns)
	if !ok {
		return altered("its row in commits holds something else than numbers")
	}
	return v.digests.group(h, at)
}

// headOf reads the columns of a commit.
func headOf(columns []any) (h commitHead, at extent, ok bool) {
	var numbers [8]int64
	ok = true
	for k := range numbers {
		var own bool
		numbers[k], own = columns[k].(int64)
		ok = ok && (own || columns[k] == nil && (k == 3 || k == 4))
	}
	h = commitHead{number: numbers[0], wall: numbers[1], epoch: int(numbers[2]), sources: numbers[6], events: numbers[7]}
	_, sampled := columns[3].(int64)
	return h, extent{h.number, sampled, h.epoch, numbers[3], numbers[4]}, ok
}

// strays refuses rows that belong to no group. Groups that came while the
// record was verified are left alone.
func (v *verifier) strays(last int64) error {
	for k, t := range v.tables {
		var known, beyond int64
		query := fmt.Sprintf(`SELECT count(*) FILTER (WHERE id < ?),
			count(*) FILTER (WHERE id >= ((SELECT max(number) FROM commits) + 1) * %d) FROM %s`, idsPerCommit, t.name)
		row := v.reader.db.QueryRowContext(context.Background(), query, (last+1)*idsPerCommit)
		if err := row.Scan(&known, &beyond); err != nil {
			return v.reader.damage("read "+t.name, err)
		}
		if n := known - v.counts[k] + beyond; n != 0 {
			return &Error{Kind: Altered, Path: v.reader.path, Detail: fmt.Sprintf("%d rows in %s belong to no commit", n, t.name)}
		}
	}
	return nil
}
