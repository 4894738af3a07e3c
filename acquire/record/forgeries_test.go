package record

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/seal"
)

var update = flag.Bool("update", false, "write FORGERIES.md anew")

// forgery is what somebody did to a record.
type forgery struct {
	name  string
	of    func(t *testing.T) string // makes the record
	do    func(t *testing.T, path string)
	whole bool // nothing that is read is another than before, or nobody can tell: verify does not refuse it
}

// forgeries are all that are in the table, in its order, by heading.
func forgeries() []struct {
	heading string
	rows    []forgery
} {
	return []struct {
		heading string
		rows    []forgery
	}{
		{"Rows, by who does not know the format", ofRows()},
		{"Rows, with every hash made anew behind them", ofTheChain()},
		{"Seals", ofSeals()},
		{"What is missing, or came later", ofTheEnd()},
		{"Schema and head of the file", ofShape()},
		{"Values of another kind", ofValues()},
		{"Pages, and files beside the record", ofFiles()},
		{"Records of which nobody forged anything", ofNothing()},
	}
}

// does carries out statements as somebody with a database tool would.
func does(statements string) func(*testing.T, string) {
	return func(t *testing.T, path string) { alterSchema(t, path, "PRAGMA synchronous = OFF; "+statements) }
}

// doesAndRebuilds does so, and makes every hash of the chain anew.
func doesAndRebuilds(statements string) func(*testing.T, string) {
	return func(t *testing.T, path string) {
		does(statements)(t, path)
		rebuild(t, path)
	}
}

// verdict is what verify says, and what it says where it is given the key of the machine.
func verdict(t *testing.T, path string, names *strings.Replacer) (says, signers string, whole bool) {
	t.Helper()
	machine, inspector, _ := keysOf(t)
	trusted := []seal.Signer{machine.Signer(), inspector.Signer()}
	r, err := Open(path)
	if err == nil {
		var found *Sealing
		found, err = r.VerifySeals()
		require.NoError(t, r.Close())
		if err == nil {
			lines := found.Says(nil, false)
			lines = lines[:len(lines)-1] // that is said of each
			return names.Replace("whole: " + strings.Join(lines, "; ")), names.Replace(orHolds(found.Doubt(trusted))), true
		}
	}
	var e *Error
	require.ErrorAs(t, err, &e)
	require.NotEmpty(t, e.Hint())
	if e.Kind == Damaged || e.Kind == Truncated { // how, hangs on the bytes of samples
		return "refused: " + e.Kind.String(), "refused", false
	}
	return names.Replace("refused: " + strings.TrimPrefix(err.Error(), "record "+path+": ")), "refused", false
}

func orHolds(doubt string) string {
	if doubt == "" {
		return "holds"
	}
	return "refused: " + doubt
}

// Each forgery by name: what verify says of it stands in FORGERIES.md, and the second
// program, in another language, comes to the same verdict. Of one in five, or of all where
// somebody has the time.
func TestForgeries_ByName(t *testing.T) {
	if testing.Short() {
		t.Skip("it forges many records")
	}
	machine, inspector, other := keysOf(t)
	names := strings.NewReplacer(machine.Public().Fingerprint(), "SHA256:machine", inspector.Public().Fingerprint(), "SHA256:inspector",
		other.Public().Fingerprint(), "SHA256:other", machine.Name, "shop", "|", "\\|", "\n", " ")
	var table strings.Builder
	var paths []string
	verdicts := map[string]bool{}
	named := map[string]string{}
	kept, err := os.ReadFile("FORGERIES.md")
	require.NoError(t, err)
	tried, all := 0, *update || oneIn(5) == 1
	for _, part := range forgeries() {
		fmt.Fprintf(&table, "\n## %s\n| forgery | `verify` | with the keys of the machine and of Inspector 1 |\n|---|---|---|\n", part.heading)
		for _, f := range part.rows {
			if tried++; tried%oneIn(5) != 0 && !all {
				continue
			}
			path := f.of(t)
			f.do(t, path)
			says, signers, whole := verdict(t, path, names)
			if f.whole != whole {
				t.Errorf("%s: verify says: %s", f.name, says)
			}
			row := fmt.Sprintf("| %s | %s | %s |\n", f.name, says, signers)
			if !*update && !strings.Contains(string(kept), row) {
				t.Errorf("FORGERIES.md has another row than %s", row)
			}
			table.WriteString(row)
			paths, verdicts[path], named[path] = append(paths, path), whole, f.name
		}
	}
	page := forgeriesPage + table.String()
	if *update {
		require.NoError(t, os.WriteFile("FORGERIES.md", []byte(page), 0o600))
	} else if all {
		require.Equal(t, string(kept), page)
	}
	printed, err := secondProgram(t, append([]string{"--verify"}, paths...)...)
	require.NoError(t, err)
	var wrong map[string]*string
	require.NoError(t, json.Unmarshal(printed, &wrong))
	require.Len(t, wrong, len(paths))
	for path, why := range wrong {
		said := "nothing"
		if why != nil {
			said = *why
		}
		if verdicts[path] != (why == nil) {
			t.Errorf("%s: the second program says: %s", named[path], said)
		}
	}
}

const forgeriesPage = `# Forgeries

Each is done to a record of 130 s, sealed by the machine "shop", with an entry that Inspector 1 signed and one with a typed name, or to what is named. A test makes this page, and holds the second program
(` + "`secondreader/read.py --verify`" + `) to the same verdicts. In the last column the record is held against keys that one trusts (` + "`--signers`" + `).

**Of a record that is whole ` + "`verify`" + ` says in the end:** it cannot be known from the record alone whose a key is, whether the machine's clock was right, whether somebody went on with it later and cut that off
again, or whether who has the key made all of it anew; and of one without seals: it cannot be known who wrote it, whether groups are missing from its end, or whether all of it was made anew by somebody who knows the format.
`

// ofNothing are records that nobody forged: none is accused.
func ofNothing() (all []forgery) {
	keep := func(*testing.T, string) {}
	names := []string{}
	for name := range frozenHeads {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		of := func(t *testing.T) string { return frozen(t, name) }
		all = append(all, forgery{name, of, keep, true}, forgery{name + ", gone on with", of, func(t *testing.T, path string) {
			machine, _, _ := keysOf(t)
			w, err := appendTo(path, newHand().options())
			require.NoError(t, err)
			w.SealWith(machine)
			require.NoError(t, w.Close())
		}, true})
	}
	return append(all,
		forgery{"version 4, sealed", sealedRecord, keep, true},
		forgery{"version 4, whose digests were written by two programs", sealedRecord, func(t *testing.T, path string) {
			machine, _, _ := keysOf(t)
			h := newHand()
			h.at = h.at.Add(1e12)
			w, err := appendTo(path, h.options())
			require.NoError(t, err)
			w.SealWith(machine)
			goOn(t, w, h, 200, 3)
			require.NoError(t, w.Close())
		}, true},
		forgery{"version 4, without a key", everyUnsealed, keep, true},
	)
}

// everyUnsealed is a record of every table that nobody sealed.
func everyUnsealed(t *testing.T) string {
	path := everyRecord(t)
	change(t, path, "DELETE FROM seals; DELETE FROM commits WHERE number = (SELECT max(number) FROM commits)")
	return path
}

// fileOf reads a file, putFile writes it.
func fileOf(t *testing.T, path string) []byte {
	t.Helper()
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	return file
}

func putFile(t *testing.T, path string, file []byte) {
	t.Helper()
	require.NoError(t, os.WriteFile(path, file, 0o600))
}

// beside names a file in a folder of its own.
func beside(t *testing.T, name string) string { return filepath.Join(t.TempDir(), name) }
