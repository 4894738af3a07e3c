package bench

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// sources are the files of the firmware that a compiler reads.
type sources struct{ fs.FS }

// ReadDir implements fs.ReadDirFS.
func (s sources) ReadDir(name string) ([]fs.DirEntry, error) {
	entries, err := fs.ReadDir(s.FS, name)
	return slices.DeleteFunc(entries, func(e fs.DirEntry) bool {
		ext := filepath.Ext(e.Name())
		return e.IsDir() || ext != ".c" && ext != ".h" && e.Name() != "options"
	}), err
}

// write puts a script into files for the emulator, and returns the one that it is given.
func (s Script) write(t testing.TB, into, seen string) string {
	t.Helper()
	signal := filepath.Join(into, "signal")
	require.NoError(t, os.WriteFile(signal, s.Arc.volts(), 0o600))
	if s.EEPROM == "" {
		s.EEPROM = filepath.Join(into, "eeprom")
	}
	pins := make([][3]any, len(s.Pins))
	for k, p := range s.Pins {
		pins[k] = [3]any{p.At, p.Bit, p.High}
	}
	script, err := json.Marshal(map[string]any{
		"hex": s.Hex, "eeprom": s.EEPROM, "signal": signal, "third": s.Third, "thirdRise": s.Rise, "said": s.Said,
		"pins": pins, "resets": append([]float64{}, s.Resets...), "stalls": append([]float64{}, s.Stalls...), "until": s.Until, "report": seen,
	})
	require.NoError(t, err)
	file := filepath.Join(into, "script.json")
	require.NoError(t, os.WriteFile(file, script, 0o600))
	return file
}
