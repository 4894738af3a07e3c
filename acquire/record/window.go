package record

import (
	"database/sql"
	"fmt"
	"math"
	"slices"

	"arctally/acquire/record/codec"
	"arctally/acquire/record/digest"
	"arctally/acquire/series"
)

// window is the reading of the extremes of a stretch of an epoch.
type window struct {
	reader      *Reader
	epoch       int
	from, until int64
	level       int
	channels    []channelExtremes
}

// read takes what the groups before digests have, and what digests have.
func (w *window) read() error {
	if len(w.channels) == 0 || w.from >= w.until {
		return nil
	}
	if w.reader.digested > 1 {
		if err := w.older(); err != nil {
			return err
		}
	}
	return w.groups(digest.Levels-1, w.reader.digested, math.MaxInt64)
}

// groups takes commit groups [from, until), by the rows that a level has of them: what lies
// beside the window is passed over by the longest rows, so that it does not matter how much
// there is. Of rows that touch the window it takes their cells, or looks at those of the
// level below; so it does where the level has no row of a group.
func (w *window) groups(level int, from, until int64) error {
	if from >= until {
		return nil
	}
	if level == 0 {
		return w.each("commits_by_epoch", "c.number >= ? AND c.number < ?", from, until)
	}
	rows, err := w.rows(level, from, until)
	for k := 0; k < len(rows) && err == nil; k++ {
		row := &rows[k]
		if err = w.groups(level-1, from, row.since); err != nil {
			break
		}
		switch {
		case !row.touches:
		case level <= w.level:
			err = w.take(row)
		default:
			err = w.groups(level-1, row.since, row.through+1)
		}
		from = row.through + 1
	}
	if err != nil {
		return err
	}
	return w.groups(level-1, from, until)
}

// storedDigest is a row of the table digests, packed.
type storedDigest struct {
	id             int64
	since, through int64
	level          int
	touches        bool // the window
	how            codec.ID
	payload        []byte
}

// rows reads the rows of a level that are about groups [from, until). What they hold is
// read where it is wanted.
func (w *window) rows(level int, from, until int64) ([]storedDigest, error) {
	var rows []storedDigest
	const query = `SELECT id, since, through, last_tick >= ? AND first_tick < ?, codec, CASE WHEN last_tick >= ? AND first_tick < ? AND ? THEN payload END
		FROM digests INDEXED BY digests_by_group
		WHERE epoch = ? AND level = ? AND level > 0 AND through >= ? AND through < ? AND since >= ? AND ` + ofGroups + ` ORDER BY through`
	args := []any{w.from, w.until, w.from, w.until, level <= w.level, w.epoch, level, from, until, from}
	err := w.reader.each(query, args, func(scan func(...any) error) error {
		row := storedDigest{level: level}
		var how int64
		err := scan(&row.id, &row.since, &row.through, &row.touches, &how, &row.payload)
		row.how = known(how)
		if n := len(rows); err == nil && (row.through < row.since || n > 0 && row.since <= rows[n-1].through) {
			err = w.damaged(row.id, fmt.Errorf("a digest of groups %d to %d, some of which another has", row.since, row.through))
		}
		rows = append(rows, row)
		return err
	})
	return rows, err
}

// later is a tick so long behind another, as far as ticks go.
func later(tick int64, by uint64) int64 {
	if tick > math.MaxInt64-int64(by) {
		return math.MaxInt64
	}
	return tick + int64(by)
}

// known makes a codec of a number that may be of none.
func known(how int64) codec.ID {
	if how < 0 || how > math.MaxUint8 {
		return 0
	}
	return codec.ID(how)
}

func (w *window) damaged(row int64, err error) error { return w.reader.digestDamaged(row, err) }

func (r *Reader) digestDamaged(row int64, err error) error {
	return &Error{Kind: Damaged, Path: r.path, Commit: row / idsPerCommit, Row: row, Detail: "digests", Err: err}
}

// take adds the cells of a row.
func (w *window) take(row *storedDigest) error {
	d, err := w.reader.unpack(row, &w.reader.digests, w.wants)
	if err != nil {
		return err
	}
	w.cells(row.through, row.level, d)
	return nil
}

// mostContent is longer than any digest that is written, so that a damaged length cannot
// make a reader take all the memory there is.
const mostContent = 1 << 24

// wants tells whether a channel is asked for.
func (w *window) wants(channel int) bool {
	return slices.ContainsFunc(w.channels, func(c channelExtremes) bool { return c.channel == channel })
}

// unpack returns what a row holds of the channels that are wanted. It lasts until the
// decoder is used again.
func (r *Reader) unpack(row *storedDigest, into *digest.Decoder, wanted func(channel int) bool) (digest.Digest, error) {
	var err error
	if r.content, err = r.unzip.Content(r.content[:0], row.how, row.payload, mostContent); err != nil {
		return nil, r.digestDamaged(row.id, err)
	}
	d, err := into.Decode(r.content, wanted)
	if err != nil {
		return nil, r.digestDamaged(row.id, err)
	}
	return d, nil
}

// cells adds cells of a level, of samples that were recorded with a commit group.
func (w *window) cells(commit int64, level int, d digest.Digest) {
	ratio := digest.Length(w.level) / digest.Length(level)
	for k := range w.channels {
		c := &w.channels[k]
		cells := d.Of(c.channel)
		for i := range cells {
			w.add(c, commit, digest.Floor(cells[i].Index, ratio), &cells[i])
		}
	}
}

// add adds a cell if it overlaps the window.
func (w *window) add(c *channelExtremes, commit, index int64, cell *digest.Cell) {
	length := digest.Length(w.level)
	if index >= digest.Floor(w.from, length) && index <= digest.Floor(w.until-1, length) {
		c.add(commit, index*length, cell)
	}
}

// each takes the groups within some bounds that touch the window, one by one: the digest
// of a group where it has one that says all that is asked for, and else its samples.
func (w *window) each(index, within string, bounds ...any) error {
	var rows []storedDigest
	query := `SELECT c.number, d.id, d.codec, d.payload FROM commits c INDEXED BY ` + index + ` LEFT JOIN digests d ON d.id = c.number * 1000000 + 1 AND d.level = 0
		WHERE c.epoch = ? AND c.last_tick >= ? AND c.first_tick < ? AND ` + within + ` ORDER BY c.number`
	args := append([]any{w.epoch, w.from, w.until}, bounds...)
	err := w.reader.each(query, args, func(scan func(...any) error) error {
		var row storedDigest
		var id, how sql.NullInt64
		err := scan(&row.since, &id, &how, &row.payload)
		row.id, row.how = id.Int64, known(how.Int64)
		rows = append(rows, row)
		return err
	})
	if err != nil || len(rows) == 0 {
		return err
	}
	s := &sampled{window: w, all: newFiller(w.reader, ""), slow: newFiller(w.reader, "AND kind = 'slow'")}
	defer s.all.close()
	defer s.slow.close()
	for k := range rows {
		if err := s.group(&rows[k]); err != nil {
			return err
		}
	}
	return nil
}

// sampled takes groups by their samples.
type sampled struct {
	window   *window
	all      *filler // of the chunks of a group
	slow     *filler // of those of slow channels
	gatherer digest.Gatherer
	longest  int64
	asked    bool // what the longest step is
}

// group takes one group.
func (s *sampled) group(row *storedDigest) error {
	w := s.window
	slow := slices.ContainsFunc(w.channels, func(c channelExtremes) bool { return c.channel > series.CurrentChannel })
	if row.payload != nil {
		row.through = row.since
		if err := w.take(row); err != nil || !slow {
			return err
		}
	}
	if err := s.ask(row.since); err != nil {
		return err
	}
	f := s.all
	if row.payload != nil {
		f = s.slow
	}
	if err := f.read(row.since); err != nil {
		return err
	}
	for lane := range f.blocks {
		for k := range f.blocks[lane] {
			s.gatherer.Add(&f.blocks[lane][k], s.longest)
		}
	}
	d, _ := s.gatherer.Take()
	w.cells(row.since, 0, d)
	return nil
}

// ask finds the longest step, as the source of a group says it.
func (s *sampled) ask(commit int64) error {
	if s.asked {
		return nil
	}
	s.asked = true
	r := s.window.reader
	source, ok, err := r.sourceAt(commit, r.owners.epochs[s.window.epoch])
	if ok {
		s.longest = source.MaxStep
	}
	return err
}

// renewDigested finds the first commit group that has digests; a record of an older
// version that is being written may become one of this version.
func (r *Reader) renewDigested() error {
	if r.digested > 0 && (r.still.known || r.digested < math.MaxInt64) {
		return nil
	}
	r.digested = math.MaxInt64
	return r.each("SELECT commit_number FROM about WHERE topic = 'digests' AND "+ofGroups+" ORDER BY id LIMIT 1", nil, func(scan func(...any) error) error { return scan(&r.digested) })
}
