package jobfile_test

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/jobfile/jobtest"
)

// TestRead: a job is the same from a file, from a folder and from its own record.
func TestRead(t *testing.T) {
	file := jobtest.Folder(t)
	read, err := jobfile.Read(file)
	require.NoError(t, err)
	in, err := jobfile.ReadIn(os.DirFS(filepath.Dir(file)), filepath.Base(file))
	require.NoError(t, err)
	assert.Equal(t, read.Documents, in.Documents)
	assert.Equal(t, read.Name, in.Name)
	made := filepath.Join(t.TempDir(), jobfile.RecordName(file, "-1"))
	assert.Equal(t, "job-1.arctally", filepath.Base(made))
	writer, err := read.CreateRecord(made, time.Now())
	require.NoError(t, err)
	require.NoError(t, writer.Close())
	reader, err := record.Open(made)
	require.NoError(t, err)
	meta := reader.Meta()
	require.NoError(t, reader.Close())
	kept, err := jobfile.OfRecord(made, meta)
	require.NoError(t, err)
	assert.Equal(t, read.Documents, kept.Documents)
	assert.Equal(t, read.Procedure.Name, kept.Procedure.Name)
	require.NoError(t, read.MadeRecord(made, meta))
	other, err := jobfile.Read(jobtest.Short(t, "helix", jobtest.OneTurn))
	require.NoError(t, err)
	err = other.MadeRecord(made, meta)
	require.ErrorContains(t, err, "another job file")
	assert.Contains(t, explain.Of(err).Hint, "record into a new file")
}

func TestFile_Sensor(t *testing.T) {
	p, err := jobfile.Read(jobtest.Folder(t))
	require.NoError(t, err)
	own, err := p.Sensor("job.yaml", "")
	require.NoError(t, err)
	assert.Equal(t, p.Sensors[0], own)
	other, err := p.Sensor("job.yaml", "/dev/a")
	require.NoError(t, err)
	assert.Equal(t, "/dev/a", other.Port)
	assert.Equal(t, own.Link, other.Link, "the port alone is another one")
	p.Sensors = nil
	alone, err := p.Sensor("job.yaml", "/dev/a")
	require.NoError(t, err)
	assert.Equal(t, "binary", alone.Link)
	_, err = p.Sensor("job.yaml", "")
	require.EqualError(t, err, "job.yaml: the job names no sensor")
	assert.Contains(t, explain.Of(err).Hint, "port")
}
