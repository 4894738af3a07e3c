package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/cmd/internal/jobfile"
)

// frozenRecords copies the records that released code wrote, of every version of the format.
func frozenRecords(t *testing.T) (copies []string) {
	t.Helper()
	names, err := filepath.Glob("../../testdata/record/*" + jobfile.RecordExtension)
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		file, err := os.ReadFile(name)
		require.NoError(t, err)
		copies = append(copies, filepath.Join(t.TempDir(), filepath.Base(name)))
		require.NoError(t, os.WriteFile(copies[len(copies)-1], file, 0o600))
	}
	return copies
}

// TestFrozen judges the records as they were judged before.
func TestFrozen(t *testing.T) {
	for _, record := range frozenRecords(t) {
		name := strings.TrimSuffix(filepath.Base(record), jobfile.RecordExtension)
		t.Run(name, func(t *testing.T) {
			assert.Contains(t, string(printed(t, "verify", record)), "the record is whole")
			compareGolden(t, filepath.Join("../../testdata/record", name+".json"), printed(t, "passes", record, "--json"))
		})
	}
}

// TestFrozen_Energy has a program that shares no code with ours recompute the chain
// and the energy of the arc from what the page about the format says.
func TestFrozen_Energy(t *testing.T) {
	records := frozenRecords(t)
	for _, old := range frozenRecords(t) { // gone on with by the program of today
		printed(t, "note", old, "--temperature", "150degC", "--by", "Operator 1")
		records = append(records, old)
	}
	held := filepath.Join(t.TempDir(), "held"+jobfile.RecordExtension) // a source that repeats its last values
	printed(t, "import", "../../testdata/capture/held.csv", "--job", filepath.Join(keyway, "job.yaml"), "-o", held)
	records = append(records, importKeyway(t), held)
	read := readBySecond(t, records...)
	for _, record := range records {
		var list struct {
			Passes []struct {
				Energy  float64 `json:"energy_j"`
				ArcTime float64 `json:"arc_time_s"`
			}
		}
		require.NoError(t, json.Unmarshal(printed(t, "passes", record, "--json"), &list))
		energy, time := 0.0, 0.0
		for _, p := range list.Passes {
			energy += p.Energy
			time += p.ArcTime
		}
		assert.InEpsilon(t, energy, read[record].Energy, 1e-9, record)
		assert.InEpsilon(t, time, read[record].ArcTime*1e-9, 1e-9, record)
	}
}

// secondReading is what the second program says of a record.
type secondReading struct {
	Energy  float64 `json:"arc_energy_j"`
	ArcTime float64 `json:"arc_time_ns"`
}

// readBySecond has the second program read records. It skips a test where it cannot
// run; it fails where one said that it must.
func readBySecond(t *testing.T, records ...string) (read map[string]secondReading) {
	t.Helper()
	for _, name := range []string{"python3", "zstd"} {
		if _, err := exec.LookPath(name); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("the second program needs %s", name)
			}
			t.Skipf("the second program needs %s, which is not here: nobody else recomputes the energy", name)
		}
	}
	command := exec.CommandContext(t.Context(), "python3", append([]string{"../../acquire/record/secondreader/read.py"}, records...)...)
	var complaints bytes.Buffer
	command.Stderr = &complaints
	out, err := command.Output()
	require.NoError(t, err, complaints.String())
	require.NoError(t, json.Unmarshal(out, &read))
	return read
}
