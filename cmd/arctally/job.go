package main

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"arctally/acquire/record"
	"arctally/analyze/procedure"
)

// The names of the documents in a record.
const (
	jobDocument       = "job.yaml"
	procedureDocument = "procedure.yaml"
)

// plan is a job with its procedure, and the texts that it was read from.
type plan struct {
	job       *procedure.Job
	documents map[string]string
}

// loadPlan reads a job file, and the procedure file that it names from where
// the job file lies.
func loadPlan(file string) (*plan, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return parsePlan(file, text, func(name string) (string, []byte, error) {
		if !filepath.IsAbs(name) {
			name = filepath.Join(filepath.Dir(file), name)
		}
		text, err := os.ReadFile(name)
		return name, text, err
	})
}

// planFrom reads a job file from a file system, such as one that is built in.
func planFrom(files fs.FS, file string) (*plan, error) {
	text, err := fs.ReadFile(files, file)
	if err != nil {
		return nil, err
	}
	return planBeside(files, file, text)
}

// planBeside reads the text of a job file that lies, or will lie, in a file system.
func planBeside(files fs.FS, file string, text []byte) (*plan, error) {
	return parsePlan(file, text, func(name string) (string, []byte, error) {
		name = path.Join(path.Dir(file), name)
		text, err := fs.ReadFile(files, name)
		return name, text, err
	})
}

// planOf reads the job under which a record was made.
func planOf(file string, m record.Meta) (*plan, error) {
	return parsePlan(file+": "+jobDocument, []byte(m.Documents[jobDocument]), func(string) (string, []byte, error) {
		return file + ": " + procedureDocument, []byte(m.Documents[procedureDocument]), nil
	})
}

func parsePlan(name string, text []byte, open func(name string) (string, []byte, error)) (*plan, error) {
	job, err := procedure.ParseJob(name, text)
	if err != nil {
		return nil, err
	}
	procedureName, procedureText, err := open(job.ProcedureFile)
	if err != nil {
		return nil, err
	}
	qualified, err := procedure.ParseProcedure(procedureName, procedureText)
	if err != nil {
		return nil, err
	}
	job.Procedure = *qualified
	return &plan{job: job, documents: map[string]string{
		jobDocument: string(text), procedureDocument: string(procedureText),
	}}, nil
}

// meta is what a new record says of itself.
func (p *plan) meta() record.Meta {
	return record.Meta{Job: p.job.Name, Procedure: p.job.Procedure.Name, Documents: p.documents}
}
