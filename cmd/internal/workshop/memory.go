package workshop

import (
	"encoding/json"
	"io"
	"path/filepath"
	"slices"
	"sync"

	"arctally/cmd/internal/files"
	"arctally/report/page"
	"arctally/report/sheet"
)

// memoryFile lies in the folder; its name begins with a dot, so that it is no job.
const memoryFile = ".arctally.json"

// memory is what a folder knows when the program begins again. It is a help for who types,
// and no part of any record: where it cannot be read or written, nothing is remembered.
type memory struct {
	folder *folder
	mu     sync.Mutex
	kept   remembered
}

// remembered is what stands in the file.
type remembered struct {
	Operator string `json:"operator,omitempty"` // who was last named
	Open     string `json:"open,omitempty"`     // the record that somebody began to write and nobody has ended
}

// newMemory reads what is remembered in a folder.
func newMemory(f *folder) *memory {
	m := &memory{folder: f}
	text, err := f.root.ReadFile(memoryFile)
	if err != nil || json.Unmarshal(text, &m.kept) != nil {
		m.kept = remembered{}
	}
	return m
}

// now is what is remembered.
func (m *memory) now() remembered {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.kept
}

// change changes what is remembered, and keeps it.
func (m *memory) change(to func(*remembered)) {
	m.mu.Lock()
	defer m.mu.Unlock()
	before := m.kept
	if to(&m.kept); m.kept == before {
		return
	}
	text, err := json.Marshal(m.kept)
	if err != nil {
		return
	}
	_ = files.Write(filepath.Join(m.folder.path, memoryFile), func(w io.Writer) error { // what cannot be kept is asked for again
		_, err := w.Write(append(text, '\n'))
		return err
	})
}

// named remembers who was named.
func (m *memory) named(operator string) {
	if operator != "" {
		m.change(func(r *remembered) { r.Operator = operator })
	}
}

// begun remembers that a record is being written, and who is named in its job where nobody
// was named before.
func (m *memory) begun(record, operator string) {
	m.change(func(r *remembered) {
		if r.Open = record; r.Operator == "" {
			r.Operator = operator
		}
	})
}

// ended remembers that somebody ended a record.
func (m *memory) ended(record string) {
	m.change(func(r *remembered) {
		if r.Open == record {
			r.Open = ""
		}
	})
}

// goOn is the record that nobody has ended, where it is there and nothing writes it.
func (w *workshop) goOn(rows []page.RecordRow) *page.GoOn {
	open := w.memory.now().Open
	if r := w.busy(); open == "" || r != nil || w.other.Load() != nil {
		return nil
	}
	for k := range rows {
		row := &rows[k]
		if row.Record != open || row.State == page.Unreadable {
			continue
		}
		g := &page.GoOn{Record: open, Job: row.Job, JobFile: row.JobFile, Words: open + " was being recorded, and nobody has ended it: go on with it, or end it"}
		if stamp := w.folder.stampOfRecord(open); !stamp.time.IsZero() {
			g.Since = new(sheet.Timestamp(stamp.time))
		}
		if g.JobFile == nil {
			g.Words = open + " was being recorded, and nobody has ended it; its job file is not here, so that it cannot be gone on with"
		}
		return g
	}
	return nil
}

// judgeNewest begins to judge the records that were written last, as many as are kept.
func (w *workshop) judgeNewest() {
	for _, name := range newestRecords(w.folder.records(), w.folder.stampOfRecord, keptReviews) {
		if r := w.busy(); r != nil && r.Record() == name {
			continue // its recorder judges it
		}
		if file, err := w.folder.recordPath(name); err == nil {
			_, _ = w.reviews.judgement(name, file, w.folder.stampOfRecord(name), false, true) // what ends is not judged any more
		}
	}
}

// newestRecords are the names of the records with samples that were written last, the newest
// first.
func newestRecords(rows []page.RecordRow, of func(string) stamp, most int) (names []string) {
	for k := range rows {
		if rows[k].State == page.Recorded {
			names = append(names, rows[k].Record)
		}
	}
	slices.SortStableFunc(names, func(a, b string) int { return of(b).time.Compare(of(a).time) })
	return names[:min(len(names), most)]
}
