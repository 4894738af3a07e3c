package form

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/analyze/procedure"
)

func fileText(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "testdata", "job", name))
	require.NoError(t, err)
	return text
}

const (
	demoJob       = "demo/job.yaml"
	demoProcedure = "demo/procedures/gmaw-short-arc.yaml"
)

func applied(t *testing.T, kind Kind, text []byte, values map[string]string) []byte {
	t.Helper()
	text, problems := Apply(kind, text, values)
	require.Empty(t, problems)
	return text
}

func TestFill_GivesEveryValueOfAFile(t *testing.T) {
	values, problems := Fill(Job, fileText(t, demoJob))
	require.Empty(t, problems)
	assert.Len(t, values, 37)
	assert.Equal(t, "92.0 mm", values["bore.worn_diameter"])
	assert.Equal(t, "80 deg", values["deposit.gaps.0.from"])
	assert.Equal(t, "921600", values["sensors.0.baud"])
	assert.Equal(t, "0.18", values["material.analysis.C"])

	values, problems = Fill(Procedure, fileText(t, demoProcedure))
	require.Empty(t, problems)
	assert.Equal(t, "16.5..19.0 V", values["limits.voltage"])
	assert.Equal(t, "..250 degC", values["limits.interpass"])
}

func TestFill_OfABrokenFileGivesWhatCanBeRead(t *testing.T) {
	values, problems := Fill(Job, []byte("job: A\nbore: {worn_diameter: 92, lenght: 60 mm}\nprocedure: p.yaml\ndeposit: {pattern: helix}\n"))
	assert.Equal(t, map[string]string{
		"job": "A", "bore.worn_diameter": "92", "bore.lenght": "60 mm", "procedure": "p.yaml", "deposit.pattern": "helix",
	}, values)
	assert.Equal(t, []Problem{
		{Field: "bore.length", Line: 2, Column: 7, Reason: "bore.length is missing"},
		{Field: "bore.worn_diameter", Line: 2, Column: 23, Reason: `bore.worn_diameter "92": no unit; write mm, m, cm, um, in or ft`},
		{Field: "bore.lenght", Line: 2, Column: 27, Reason: `bore has no key "lenght"; did you mean length?`},
		{Field: "deposit.pitch", Line: 4, Column: 10, Reason: "deposit.pitch is missing"},
	}, problems)
}

func TestFill_OfWhatIsNoYAMLGivesTheBeginning(t *testing.T) {
	values, problems := Fill(Job, []byte("job: A\nprocedure: p.yaml\nbore: {worn_diameter: 92 mm\ndeposit: ]\n"))
	assert.Equal(t, map[string]string{"job": "A", "procedure": "p.yaml"}, values)
	require.Len(t, problems, 1)
	assert.Positive(t, problems[0].Line)
	assert.Contains(t, problems[0].Reason, "not YAML")
	assert.Equal(t, "boom.yaml:1:2: why", Problem{Field: "", Line: 1, Column: 2, Reason: "why"}.Sentence("boom"))
}

func TestFill_FindsTheFieldOfAnError(t *testing.T) {
	for text, field := range map[string]string{
		"":                                  "",
		"procedure: p":                      "job",
		"job: A\nprocedure: p":              "deposit.pattern",
		"job: A\nbore: 5":                   "bore.worn_diameter",
		"job: A\nbore:\n  axis: 5 mm":       "bore.worn_diameter",
		"job: A\nsensors: [{link: binary}]": "sensors.0.port",
		"job: A\nsensors:\n  - {port: a, link: binary}\n  - {port: a, link: delimited}":   "sensors.1.port",
		"job: A\ndeposit: {pattern: rings, pitch: 3 mm, gaps: [{from: 9 deg}]}":           "deposit.gaps.0.to",
		"job: A\ndeposit: {pattern: rings, pitch: 3 mm, gaps: 9 deg}":                     "deposit.gaps.0.from",
		"job: A\nmaterial: {analysis: {C: 200}}":                                          "material.analysis.C",
		"job: A\nmaterial: {analysis: {Pb: 1}}":                                           "material.analysis.Pb",
		"job: A\ninstruments: {voltage: {date: 2026-05-04, due: 2026-05-03}}":             "instruments.voltage.due",
		"job: A\ndeposit: {pattern: rings, pitch: 1 mm, gaps: [{from: 1 deg, to: 1deg}]}": "deposit.gaps.0.from",
	} {
		_, problems := Fill(Job, []byte(text))
		fields := make([]string, 0, len(problems))
		for _, p := range problems {
			fields = append(fields, p.Field)
		}
		assert.Contains(t, fields, field, text)
	}
}

func TestApply_ChangesAValueInItsPlace(t *testing.T) {
	old := fileText(t, demoProcedure)
	text := applied(t, Procedure, old, map[string]string{"limits.wire_speed": "4.0..6.5 m/min", "process": "MIG", "limits.gas_flow": "12..18 L/min"})
	was, is := strings.Split(string(old), "\n"), strings.Split(string(text), "\n")
	require.Len(t, is, len(was))
	for k := range was {
		switch {
		case strings.Contains(was[k], "wire_speed"):
			assert.Equal(t, "  wire_speed: 4.0..6.5 m/min # or 180..255 in/min", is[k])
		case strings.HasPrefix(was[k], "process"):
			assert.Equal(t, "process: MIG # k = 0.8 (EN 1011-1)", is[k])
		default:
			assert.Equal(t, strings.Join(strings.Fields(was[k]), " "), strings.Join(strings.Fields(is[k]), " "))
		}
	}
}

func TestApply_KeepsEmptyLinesAndComments(t *testing.T) {
	const old = `# Boom of the big loader.
#
# Measured on the second day.

job: A   # as painted on it
procedure: p.yaml

# the bore, cold
bore:
  worn_diameter: 92 mm

  # over the bush
  length: 60 mm
deposit: {pattern: rings, pitch: 3 mm}

# that is all
`
	text := applied(t, Job, []byte(old), map[string]string{"bore.worn_diameter": "93 mm", "deposit.pitch": "3.1 mm"})
	assert.Equal(t, strings.NewReplacer("92 mm", "93 mm", "3 mm", "3.1 mm", "A   #", "A #").Replace(old), string(text))
}

func TestApply_LeavesATextAsItIsWhereNothingChanges(t *testing.T) {
	for kind, name := range map[Kind]string{Job: demoJob, Procedure: demoProcedure} {
		old := fileText(t, name)
		values, _ := Fill(kind, old)
		assert.Equal(t, string(old), string(applied(t, kind, old, values)))
	}
}

func TestApply_AddsWhatIsMissingInTheOrderOfTheForm(t *testing.T) {
	text := applied(t, Job, []byte("# ours\njob: A # the name\nprocedure: p.yaml\n\ndeposit: {pattern: rings, pitch: 3 mm}\n"), map[string]string{
		"bore.length": "60 mm", "bore.worn_diameter": "92 mm", "deposit.wire_diameter": "0.9 mm", "deposit.gaps.0.from": "80 deg", "deposit.gaps.0.to": "116 deg",
		"sensors.4.link": "binary", "sensors.4.port": "/dev/a", "sensors.1.port": "/dev/b", "sensors.1.link": "delimited", "sensors.1.baud": "9600",
		"people.operator": "null", "instruments.voltage.date": "2026-05-04", "material.analysis.C": "0.18",
	})
	assert.Equal(t, `# ours
job: A # the name
procedure: p.yaml
people:
  operator: "null"
bore:
  worn_diameter: 92 mm
  length: 60 mm

deposit: {pattern: rings, pitch: 3 mm, wire_diameter: 0.9 mm, gaps: [{from: 80 deg, to: 116 deg}]}
sensors:
  - {port: /dev/b, link: delimited, baud: 9600}
  - {port: /dev/a, link: binary}
material:
  analysis:
    C: 0.18
instruments:
  voltage:
    date: 2026-05-04
`, string(text))
}

func TestApply_MakesANewFile(t *testing.T) {
	for kind, name := range map[Kind]string{Job: demoJob, Procedure: demoProcedure} {
		values, _ := Fill(kind, fileText(t, name))
		text := applied(t, kind, nil, values)
		again, problems := Fill(kind, text)
		assert.Empty(t, problems)
		assert.Equal(t, values, again)
	}
	text := applied(t, Procedure, []byte("# to be written\n"), map[string]string{"procedure": "P", "process": "MAG", "limits.voltage": "1..2 V"})
	assert.Equal(t, "# to be written\nprocedure: P\nprocess: MAG\nlimits:\n  voltage: 1..2 V\n", string(text))
}

func TestApply_TakesOutWhatIsEmptyAndKeepsItsComments(t *testing.T) {
	text := applied(t, Job, []byte(`job: A
procedure: p.yaml
# measured twice
bore: {worn_diameter: 92 mm, length: 60 mm, axis: horizontal}
deposit:
  pattern: rings
  pitch: 3 mm
  # the keyway
  gaps:
    - {from: 80 deg, to: 116 deg}
    - {from: 200 deg, to: 210 deg}
    - {from: 300 deg, to: 310 deg}
people: {operator: Operator 1}
`), map[string]string{"people.operator": "", "deposit.gaps.1.from": " ", "deposit.gaps.1.to": "", "bore.axis": "", "deposit.gaps.2.to": "311 deg", "deposit.gaps.3.from": "320 deg", "deposit.gaps.3.to": "330 deg"})
	assert.Equal(t, `job: A
procedure: p.yaml
# measured twice
bore: {worn_diameter: 92 mm, length: 60 mm}
deposit:
  pattern: rings
  pitch: 3 mm
  # the keyway
  gaps:
    - {from: 80 deg, to: 116 deg}
    - {from: 300 deg, to: 311 deg}
    - {from: 320 deg, to: 330 deg}
`, string(text))

	text = applied(t, Job, text, map[string]string{
		"deposit.gaps.0.from": "", "deposit.gaps.0.to": "", "deposit.gaps.1.from": "", "deposit.gaps.1.to": "", "deposit.gaps.2.from": "", "deposit.gaps.2.to": "",
	})
	assert.Equal(t, "job: A\nprocedure: p.yaml\n# measured twice\nbore: {worn_diameter: 92 mm, length: 60 mm}\ndeposit:\n  pattern: rings\n  pitch: 3 mm\n  # the keyway\n", string(text))
}

func TestApply_TellsWhatIsWrongByField(t *testing.T) {
	old := fileText(t, demoJob)
	text, problems := Apply(Job, old, map[string]string{"bore.worn_diameter": "92", "people.operator": "two\nlines", "bore.depth": "1 mm"})
	assert.Equal(t, string(old), string(text))
	assert.Equal(t, []Problem{{Field: "bore.depth", Reason: "there is no such field"}, {Field: "people.operator", Reason: "it must be one line of text"}}, problems)

	_, problems = Apply(Job, old, map[string]string{"bore.worn_diameter": "92", "setpoints.voltage": "0 V"})
	require.Len(t, problems, 2)
	assert.Equal(t, "bore.worn_diameter", problems[0].Field)
	assert.Equal(t, "setpoints.voltage", problems[1].Field)

	_, problems = Apply(Job, []byte("job: [A\n"), map[string]string{"job": "B"})
	require.Len(t, problems, 1)
	assert.Contains(t, problems[0].Reason, "not YAML")

	_, problems = Apply(Job, []byte("job: A\nbore: 5\n"), map[string]string{"bore.length": "5 mm"})
	require.Len(t, problems, 1)
	assert.Equal(t, "bore.length", problems[0].Field)

	_, problems = Apply(Job, nil, map[string]string{"job": strings.Repeat("A", longestValue+1)})
	assert.Equal(t, []Problem{{Field: "job", Reason: "it is too long"}}, problems)
}

func TestApply_MendsAKeyThatTheFormDoesNotHave(t *testing.T) {
	text := applied(t, Job, []byte("job: A\nprocedure: p\nwelder: B\ndeposit: {pattern: straight, pich: 3 mm}\n"), map[string]string{"welder": "", "deposit.pich": "", "people.operator": "B"})
	assert.Equal(t, "job: A\nprocedure: p\npeople:\n  operator: B\ndeposit: {pattern: straight}\n", string(text))
}

// mustHold shows that what is put in comes out, and nothing else changes.
func mustHold(t *testing.T, kind Kind, text []byte, key, value string) {
	before, _ := Fill(kind, text)
	same, _ := Apply(kind, text, before)
	after, _ := Fill(kind, same)
	require.Equal(t, before, after)
	require.Equal(t, string(text), string(same))

	changed, problems := Apply(kind, text, map[string]string{key: value})
	if len(problems) > 0 {
		for _, p := range problems {
			require.NotEmpty(t, p.Reason)
		}
		return
	}
	require.NoError(t, parse(kind, changed), "no problems, so the strict parser takes it")
	wanted := maps.Clone(before)
	if wanted[key] = strings.TrimSpace(value); wanted[key] == "" {
		delete(wanted, key)
	}
	after, problems = Fill(kind, changed)
	require.Empty(t, problems)
	parts := path(key)
	if value == "" || slices.ContainsFunc(parts, func(part string) bool { _, counted := indexOf(part); return counted }) {
		return // the numbers of repeated parts close up
	}
	require.Equal(t, wanted, after)
}

func fuzzApply(f *testing.F, kind Kind, files ...string) {
	for _, name := range files {
		f.Add(fileText(f, name), "people.operator", "Operator 2")
		f.Add(fileText(f, name), "limits.voltage", "")
		f.Add(fileText(f, name), "deposit.gaps.0.to", "117 deg")
	}
	f.Add([]byte("a: &a [*a]\n? [b]\n: c\n"), "job", "~")
	f.Add([]byte("job: |\n  A\n  B\n# foot"), "job", "C")
	f.Fuzz(func(t *testing.T, text []byte, key, value string) {
		if len(text) > 4096 || len(key) > 100 {
			return
		}
		mustHold(t, kind, text, key, value)
	})
}

func FuzzJobForm(f *testing.F) { fuzzApply(f, Job, demoJob, "us-units/job.yaml", "keyway/job.yaml") }

func FuzzProcedureForm(f *testing.F) {
	fuzzApply(f, Procedure, demoProcedure, "us-units/procedures/gmaw-short-arc.yaml", "keyway/procedure.yaml")
}

func TestApply_AnyFieldOfAnyFile(t *testing.T) {
	for kind, names := range map[Kind][]string{Job: {demoJob, "us-units/job.yaml", "keyway/job.yaml"}, Procedure: {demoProcedure, "keyway/procedure.yaml"}} {
		_, fields := formKeys(kind)
		for _, name := range names {
			for key, field := range fields {
				unit := ""
				if len(field.Units) > 0 {
					unit = field.Units[0]
				}
				mustHold(t, kind, fileText(t, name), key, sample(field, unit))
				mustHold(t, kind, fileText(t, name), key, "")
			}
		}
	}
	_, err := procedure.ParseJob("", fileText(t, demoJob))
	require.NoError(t, err)
}

// TestApply_LeavesTheRegistersOfASlaveAlone: they are a list within a repeated part, and
// stand in the file alone.
func TestApply_LeavesTheRegistersOfASlaveAlone(t *testing.T) {
	const old = "job: A\nprocedure: p.yaml\ndeposit: {pattern: straight}\nsensors:\n  - {port: a, link: modbus, unit: 3, registers: [{channel: gas_flow, address: 1, function: 3, type: u16}]}\n"
	values, _ := Fill(Job, []byte(old))
	assert.Equal(t, "3", values["sensors.0.unit"])
	values["sensors.0.unit"] = "4"
	assert.Equal(t, strings.Replace(old, "unit: 3", "unit: 4", 1), string(applied(t, Job, []byte(old), values)))
}
