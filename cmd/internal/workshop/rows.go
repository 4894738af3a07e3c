package workshop

import (
	"cmp"
	"errors"
	"io/fs"
	"path"
	"path/filepath"
	"regexp"
	"slices"

	"arctally/acquire/record"
	"arctally/acquire/system"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/jobfile"
	"arctally/report/page"
	"arctally/report/page/form"
	"arctally/report/sheet"
)

// look returns what a file says; read is called where it has changed. False is a
// file that went away while the folder was listed.
func (f *folder) look(name string, read func(*seenFile)) (seenFile, bool) {
	now, err := f.stampOf(name)
	if err != nil {
		_, gone := f.root.Lstat(name)
		return seenFile{err: err}, gone == nil
	}
	f.seen.mu.Lock()
	defer f.seen.mu.Unlock()
	if kept, ok := f.seen.files[name]; ok && kept.stamp == now {
		return kept, true
	}
	fresh := seenFile{stamp: now}
	read(&fresh)
	f.seen.files[name] = fresh
	return fresh, true
}

func (f *folder) stampOf(name string) (s stamp, err error) {
	info, err := f.root.Stat(name)
	if err != nil {
		return s, err
	}
	if !info.Mode().IsRegular() {
		return s, badName(path.Base(name), "it is no file, but something else of that name")
	}
	s.size, s.time = info.Size(), info.ModTime()
	if is, err := system.TouchOf(filepath.Join(f.path, filepath.FromSlash(name))); err == nil {
		s.inode, s.changed = is.Inode, is.Changed
	}
	// A record that is being written; one that is only read may have an empty one.
	if log, err := f.root.Stat(name + "-wal"); err == nil && log.Size() > 0 {
		s.logSize = log.Size()
		if log.ModTime().After(s.time) {
			s.time = log.ModTime()
		}
	}
	return s, nil
}

// stampOfRecord is that of a record; one that is not there has none.
func (f *folder) stampOfRecord(name string) stamp {
	s, _ := f.stampOf(name + jobfile.RecordExtension) // who opens it learns why
	return s
}

// jobKey is what makes a file a job, even where the rest of it is broken.
var jobKey = regexp.MustCompile(`(?m)^["']?job["']?[ \t]*:`)

// lookAtJob reads a file that may be a job.
func (f *folder) lookAtJob(name string) (job seenFile, ok bool) {
	job, ok = f.look(name, func(s *seenFile) {
		text, err := f.root.ReadFile(name)
		s.text = string(text)
		if err != nil {
			s.err = err
			return
		}
		job, err := procedure.ParseJob(name, text)
		if s.err = err; err == nil {
			s.name, s.procedure = job.Name, job.ProcedureFile
		}
	})
	return job, ok && (job.text == "" && job.err != nil || jobKey.MatchString(job.text))
}

func (f *folder) lookAtProcedure(name string) (seenFile, bool) {
	return f.look(name, func(s *seenFile) {
		text, err := f.root.ReadFile(name)
		if err != nil {
			s.err = err
			return
		}
		qualified, err := procedure.ParseProcedure(name, text)
		if s.err = err; err == nil {
			s.name = qualified.Name
		}
	})
}

// jobRow is a job file of the folder.
type jobRow struct {
	seenFile
	file string // as it lies in the folder
}

func (f *folder) jobRows() (rows []jobRow) {
	for _, file := range f.names(".", ".yaml") {
		if job, ok := f.lookAtJob(file); ok {
			rows = append(rows, jobRow{job, file})
		}
	}
	return rows
}

// jobs are the rows of the job files; what is wrong with its procedure is wrong
// with a job too.
func (f *folder) jobs() []page.FileRow {
	rows := []page.FileRow{}
	for _, job := range f.jobRows() {
		err := job.err
		if err == nil {
			err = f.procedureError(job.procedure)
		}
		row := fileRow(job.file, job.name, err)
		if job.procedure != "" {
			row.Procedure = new(files.Stem(job.procedure))
		}
		rows = append(rows, row)
	}
	return rows
}

func (f *folder) procedureError(name string) error {
	clean := path.Clean(name)
	if !fs.ValidPath(clean) {
		return &fs.PathError{Op: "open", Path: name, Err: errOutside}
	}
	if seen, ok := f.lookAtProcedure(clean); ok {
		return seen.err
	}
	return &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
}

// errOutside is a procedure that a served job may not name.
var errOutside = errors.New("it lies outside of the folder that is served")

// procedures are the rows of all procedures, those elsewhere that a job names too.
func (f *folder) procedures() []page.FileRow {
	files := f.names(procedureFolder, ".yaml")
	for _, job := range f.jobRows() {
		if clean := path.Clean(job.procedure); job.procedure != "" && fs.ValidPath(clean) && !slices.Contains(files, clean) {
			files = append(files, clean)
		}
	}
	rows := []page.FileRow{}
	for _, file := range files {
		if seen, ok := f.lookAtProcedure(file); ok {
			rows = append(rows, fileRow(file, seen.name, seen.err))
		}
	}
	return rows
}

func fileRow(file, name string, err error) page.FileRow {
	row := page.FileRow{File: files.Stem(file), Path: file}
	if name != "" {
		row.Name = &name
	}
	if !page.FileName(row.File) && err == nil {
		err = badName(path.Base(file), fileRule)
	}
	row.Error, row.Hint = told(err)
	return row
}

// told is an error for a row of a page; nil where there is none.
func told(err error) (text, hint *string) {
	if err == nil {
		return nil, nil
	}
	_, next := explain.Page(err)
	if text = new(err.Error()); next != "" {
		hint = &next
	}
	return text, hint
}

// records are the rows of the records.
func (f *folder) records() []page.RecordRow {
	rows := []page.RecordRow{}
	jobs := f.jobRows()
	for _, file := range f.names(".", jobfile.RecordExtension) {
		seen, ok := f.look(file, func(s *seenFile) { f.lookAtRecord(file, s) })
		if !ok {
			continue
		}
		row := seen.record
		row.Record, row.State = files.Stem(file), cmp.Or(row.State, page.Unreadable)
		row.Error, row.Hint = told(seen.err)
		if k := slices.IndexFunc(jobs, func(j jobRow) bool { return j.text == seen.job }); k >= 0 && seen.job != "" {
			row.JobFile = new(files.Stem(jobs[k].file))
		} else if k := slices.IndexFunc(jobs, func(j jobRow) bool { return row.Job != nil && j.name == *row.Job }); k >= 0 {
			row.JobFile = new(files.Stem(jobs[k].file))
		}
		rows = append(rows, row)
	}
	return rows
}

// lookAtRecord reads what a row shows of a record, and not its samples.
func (f *folder) lookAtRecord(file string, s *seenFile) {
	s.record.Bytes = s.stamp.size + s.stamp.logSize
	full, err := f.recordPath(files.Stem(file))
	if s.err = err; err != nil {
		return
	}
	reader, err := record.Open(full)
	if s.err = err; err != nil {
		return
	}
	meta := reader.Meta()
	spans, err := reader.Epochs()
	if s.err = errors.Join(err, reader.Close()); s.err != nil {
		return
	}
	s.job = meta.Documents[jobfile.Document]
	s.record.Job, s.record.Procedure = &meta.Job, &meta.Procedure
	s.record.Created = new(sheet.Timestamp(meta.Created))
	if s.record.State = page.Recorded; len(spans) == 0 {
		s.record.State = page.ChecksOnly
	}
}

// fileName is where the file of a form lies.
func (f *folder) fileName(kind form.Kind, name string) (string, error) {
	if kind == form.Procedure {
		return f.procedureName(name)
	}
	return jobName(name)
}
