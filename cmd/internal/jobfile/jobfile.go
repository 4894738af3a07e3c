// Package jobfile knows where a job comes from: a file and the procedure beside
// it, a folder that is served, what is built in, or the record that was made of it.
// It begins the record of a job.
//
// Errors: a *procedure.Error names the line and the column; a record under another
// job, and a job without a sensor, come with what to do.
package jobfile

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"arctally/acquire/port"
	"arctally/acquire/record"
	"arctally/acquire/series"
	"arctally/analyze/procedure"
	"arctally/cmd/internal/explain"
)

// The names of the documents in a record.
const (
	Document          = "job.yaml"
	ProcedureDocument = "procedure.yaml"
)

// File is a job with its procedure, and the texts that it was read from.
type File struct {
	*procedure.Job
	Documents map[string]string // as a record keeps them
}

// Read reads a job file, and the procedure file that it names from where
// the job file lies.
func Read(file string) (*File, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return written.parse(file, text, func(name string) (string, []byte, error) {
		if !filepath.IsAbs(name) {
			name = filepath.Join(filepath.Dir(file), name)
		}
		text, err := os.ReadFile(name)
		return name, text, err
	})
}

// ReadIn reads a job file from a file system, such as one that is built in.
func ReadIn(files fs.FS, file string) (*File, error) {
	text, err := fs.ReadFile(files, file)
	if err != nil {
		return nil, err
	}
	return Parse(files, file, text)
}

// Parse reads the text of a job file that lies, or will lie, in a file system.
func Parse(files fs.FS, file string, text []byte) (*File, error) {
	return written.parse(file, text, func(name string) (string, []byte, error) {
		name = path.Join(path.Dir(file), name)
		text, err := fs.ReadFile(files, name)
		return name, text, err
	})
}

// OfRecord reads the job under which a record was made.
func OfRecord(file string, m record.Meta) (*File, error) {
	return kept.parse(file+": "+Document, []byte(m.Documents[Document]), func(string) (string, []byte, error) {
		return file + ": " + ProcedureDocument, []byte(m.Documents[ProcedureDocument]), nil
	})
}

// parsers read the two documents of a job.
type parsers struct {
	job       func(name string, text []byte) (*procedure.Job, error)
	procedure func(name string, text []byte) (*procedure.Procedure, error)
}

var (
	written = parsers{procedure.ParseJob, procedure.ParseProcedure}
	kept    = parsers{procedure.ParseKeptJob, procedure.ParseKeptProcedure}
)

func (p parsers) parse(name string, text []byte, open func(name string) (string, []byte, error)) (*File, error) {
	job, err := p.job(name, text)
	if err != nil {
		return nil, err
	}
	procedureName, procedureText, err := open(job.ProcedureFile)
	if err != nil {
		return nil, err
	}
	qualified, err := p.procedure(procedureName, procedureText)
	if err != nil {
		return nil, err
	}
	job.Procedure = *qualified
	return &File{Job: job, Documents: map[string]string{
		Document: string(text), ProcedureDocument: string(procedureText),
	}}, nil
}

// meta is what a new record says of itself.
func (f *File) meta() record.Meta {
	return record.Meta{Job: f.Name, Procedure: f.Procedure.Name, Documents: f.Documents}
}

// Sensor returns the first sensor, on the port that is asked for; name is that of the
// job file.
func (f *File) Sensor(name, portName string) (procedure.Sensor, error) {
	sensors, err := f.SensorsOn(name, portName)
	if err != nil {
		return procedure.Sensor{}, err
	}
	return sensors[0], nil
}

// SensorsOn returns the sensors to record, the first of them on the port that is asked
// for; name is that of the job file.
func (f *File) SensorsOn(name, portName string) ([]procedure.Sensor, error) {
	if len(f.Sensors) == 0 {
		if portName == "" {
			return nil, noSensor(name)
		}
		return []procedure.Sensor{{Port: portName, Link: "binary", Baud: series.DefaultBaud}}, nil
	}
	sensors := slices.Clone(f.Sensors)
	if portName != "" {
		sensors[0].Port = portName
	}
	return sensors, nil
}

// noSensor is a job that names no sensor, where one is needed.
func noSensor(file string) error {
	next := "plug in the sensor box and name its port: sensors: [{port: " + port.Usual + ", link: binary}] in the job file, or --port"
	if found := port.Candidates(); len(found) > 0 {
		next = "name a port, in the job file or with --port: " + strings.Join(found, ", ")
	}
	return &explain.Error{Kind: explain.Unfit, Text: file + ": the job names no sensor", Next: next}
}
