package form

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/quantity"
	"arctally/analyze/procedure"
)

// probe is a word that is near to none of the parser's.
const probe = "qqqqqqqqqqqqqqqqqqqqqqqqqqqqqqqq"

// reasons are what the strict parser says of a text.
func reasons(kind Kind, text string) []string {
	var wrong procedure.Errors
	errors.As(parse(kind, []byte(text)), &wrong)
	all := make([]string, 0, len(wrong))
	for _, e := range wrong {
		all = append(all, e.Reason)
	}
	return all
}

// words finds the words that the parser would take instead of the probe.
func words(kind Kind, text, before string) ([]string, bool) {
	for _, reason := range reasons(kind, text) {
		if _, list, ok := strings.Cut(reason, fmt.Sprintf(before, probe)); ok {
			return strings.Split(strings.ReplaceAll(list, " or ", ", "), ", "), true
		}
	}
	return nil, false
}

// nested writes a value under a key, as YAML.
func nested(key, value string) string {
	parts := path(key)
	for _, part := range slices.Backward(parts) {
		if _, counted := indexOf(part); counted {
			value = "[" + value + "]"
		} else {
			value = "{" + part + ": " + value + "}"
		}
	}
	return value
}

// parserKeys asks the strict parser itself for every key that it knows.
func parserKeys(t *testing.T, kind Kind) []string {
	var found []string
	var look func(key string)
	look = func(key string) {
		text := "{" + probe + ": 1}"
		if key != "" {
			text = nested(key, text)
		}
		names, ok := words(kind, text, "has no key %q; write ")
		if !ok && key != "" && !strings.HasSuffix(key, ".0") {
			names, ok = words(kind, nested(key+".0", "{"+probe+": 1}"), "has no key %q; write ")
			if ok {
				look(key + ".0")
				return
			}
		}
		if !ok {
			found = append(found, key)
			return
		}
		for _, name := range names {
			look(join(key, name))
		}
	}
	look("")
	require.Greater(t, len(found), 10)
	return found
}

// formKeys are the keys of all fields; a repeated part stands once.
func formKeys(kind Kind) (keys []string, fields map[string]Field) {
	fields = map[string]Field{}
	for _, group := range Of(kind).Groups {
		for _, field := range group.Fields {
			key := field.Key
			if group.Repeated != "" {
				key = group.Repeated + ".0." + key
			}
			keys = append(keys, key)
			fields[key] = field
		}
	}
	return keys, fields
}

// inTheFile is a list within a part that may stand several times: it has no fields.
const inTheFile = "sensors.0.registers."

func TestForm_EveryKeyOfTheParserHasAFieldAndNoOther(t *testing.T) {
	for _, kind := range Kinds {
		keys, _ := formKeys(kind)
		keys = append(keys, "sure") // has the shape of the document, and no field
		wanted := slices.DeleteFunc(parserKeys(t, kind), func(key string) bool { return strings.HasPrefix(key, inTheFile) })
		assert.ElementsMatch(t, wanted, keys, kind)
	}
}

func TestForm_ChoicesAreThoseOfTheParser(t *testing.T) {
	for _, kind := range Kinds {
		_, fields := formKeys(kind)
		checked := 0
		for key, field := range fields {
			choices, ok := words(kind, nested(key, probe), "cannot be %q; write ")
			switch {
			case field.Kind == Choice:
				require.True(t, ok, key)
				assert.Equal(t, choices, field.Choices, key)
				checked++
			case key == "bore.axis":
				assert.Subset(t, choices, field.Choices)
			default:
				assert.False(t, ok, "%s takes only some words: %s", key, choices)
			}
		}
		assert.Greater(t, checked, 1)
	}
}

// sample is a value that a field takes.
func sample(f Field, unit string) string {
	switch {
	case f.Default != "" && unit == "":
		return f.Default
	case f.Kind == Choice:
		return f.Choices[0]
	case f.Kind == Range:
		return "300..320 " + unit
	case f.Kind == Number:
		return "200"
	case f.Kind == Quantity:
		return "1 " + unit
	default:
		return "2026-05-04"
	}
}

// complaints are what the parser says of one value in a file that is right otherwise.
func complaints(kind Kind, key, value string) []string {
	base := map[Kind]string{
		Job:       "job: A\nprocedure: p.yaml\nbore: {worn_diameter: 90 m, length: 9 m}\ndeposit: {pattern: rings, pitch: 3 mm}\n",
		Procedure: "procedure: P\nprocess: MAG\nlimits: {}\njudge: {definition: EN 1011-1}\n",
	}[kind]
	values := map[string]string{key: value}
	if name, ok := strings.CutPrefix(key, "sensors.0."); ok && name != "" {
		values["sensors.0.port"], values["sensors.0.link"] = "a", "binary"
		if strings.HasPrefix(name, "columns.") || name == "separator" || name == "decimal" {
			values["sensors.0.link"], values["sensors.0.columns.voltage"], values["sensors.0.columns.current"] = "columns", "8", "9*0.1"
		}
		if slices.Contains([]string{"unit", "map", "wire_m_per_count", "parity", "echo"}, name) {
			values["sensors.0.link"], values["sensors.0.unit"], values["sensors.0.map"] = "modbus", "1", "block"
		}
		values[key] = value
	}
	if strings.HasPrefix(key, "deposit.gaps.0.") {
		values["deposit.gaps.0.from"], values["deposit.gaps.0.to"], values[key] = "0 deg", "359 deg", value
	}
	if key == "deposit.length" {
		values["deposit.pattern"] = "straight"
	}
	_, problems := Apply(kind, []byte(base), values)
	var all []string
	for _, p := range problems {
		all = append(all, p.Field+" "+p.Reason)
	}
	return all
}

func TestForm_EveryUnitAndDefaultIsTaken(t *testing.T) {
	for _, kind := range Kinds {
		_, fields := formKeys(kind)
		for key, field := range fields {
			for _, unit := range append([]string{""}, field.Units...) {
				if unit == "" && field.Default == "" && field.Kind != Choice && field.Kind != Text && field.Kind != Number {
					continue
				}
				if field.Kind == Number && unit != "" {
					unit = ""
				}
				value := sample(field, unit)
				if key == "bore.axis" {
					value = "vertical"
				}
				if strings.HasPrefix(key, "material.analysis.") {
					value = "0.2"
				}
				if strings.HasPrefix(key, "sensors.0.columns.") {
					value = "2*0.1"
				}
				assert.Empty(t, complaints(kind, key, value), "%s: %s", key, value)
			}
		}
	}
}

func TestForm_RequiredFieldsAreThoseThatNoFileGoesWithout(t *testing.T) {
	whole := map[Kind]map[string]string{
		Job: {
			"job": "A", "procedure": "p.yaml", "deposit.pattern": "straight",
			"deposit.gaps.0.from": "1 deg", "deposit.gaps.0.to": "2 deg", "sensors.0.port": "a", "sensors.0.link": "binary",
		},
		Procedure: {"procedure": "P", "process": "MAG", "limits.voltage": "1..2 V"},
	}
	for _, kind := range Kinds {
		_, fields := formKeys(kind)
		for key := range whole[kind] {
			less := maps.Clone(whole[kind])
			delete(less, key)
			if strings.HasPrefix(key, "deposit.gaps") {
				less["deposit.pattern"], less["deposit.pitch"], less["bore.worn_diameter"], less["bore.length"] = "rings", "3 mm", "9 cm", "9 cm"
			}
			_, problems := Apply(kind, nil, less)
			fieldsAt := make([]string, 0, len(problems))
			for _, p := range problems {
				fieldsAt = append(fieldsAt, p.Field)
			}
			if fields[key].Required || key == "limits.voltage" {
				assert.Contains(t, fieldsAt, key, "without it")
			} else {
				assert.NotContains(t, fieldsAt, key)
			}
		}
		for key, field := range fields {
			if field.Required {
				assert.Contains(t, whole[kind], key)
			}
		}
	}
}

func TestForm_FieldsCanBeShown(t *testing.T) {
	for _, kind := range Kinds {
		seen := map[string]bool{}
		for _, group := range Of(kind).Groups {
			assert.NotEmpty(t, group.Name)
			for _, f := range group.Fields {
				assert.NotEmpty(t, f.Label)
				assert.False(t, seen[group.Repeated+f.Key], f.Key)
				seen[group.Repeated+f.Key] = true
				assert.Equal(t, f.Kind == Quantity || f.Kind == Range || strings.HasPrefix(f.Key, "material.analysis."), f.Units != nil, f.Key)
				if f.Units != nil {
					assert.Contains(t, f.Units, f.US, f.Key)
				}
			}
		}
	}
	assert.Equal(t, []string{"mm", "m", "cm", "um", "in", "ft"}, Of(Job).Groups[1].Fields[0].Units)
	assert.Equal(t, "in", Of(Job).Groups[1].Fields[0].US)
	require.Panics(t, func() { Of("invoice") })
}

func TestForm_DefaultsAreThoseOfTheParser(t *testing.T) {
	job, err := procedure.ParseJob("j", []byte("{job: A, procedure: p, deposit: {pattern: straight}, sensors: [{port: a, link: binary}], instruments: {voltage: {}}}"))
	require.NoError(t, err)
	_, fields := formKeys(Job)
	assert.Equal(t, fmt.Sprint(job.Sensors[0].Baud), fields["sensors.0.baud"].Default)
	assert.Equal(t, quantity.Text(job.Deposit.Efficiency, "%", -1), fields["deposit.efficiency"].Default)
	assert.Equal(t, fmt.Sprint(job.Instruments[0].Gain), fields["instruments.voltage.gain"].Default)

	_, fields = formKeys(Procedure)
	written := map[string]string{"procedure": "P", "process": "MAG", "limits.voltage": "1..2 V"}
	for key, field := range fields {
		if field.Default != "" {
			written[key] = field.Default
		}
	}
	text, problems := Apply(Procedure, nil, written)
	require.Empty(t, problems)
	p, err := procedure.ParseProcedure("p", text)
	require.NoError(t, err)
	assert.Equal(t, procedure.DefaultJudge(), p.Judge)
}
