package export

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/inspect"
	"arctally/report/export/schematest"
	"arctally/report/sheet"
)

// fullNode is a node of the schema with all that the types must agree with.
type fullNode struct {
	Ref         string               `json:"$ref"`
	Type        any                  `json:"type"` // a word, or a list of them
	Unit        string               `json:"unit"`
	Description string               `json:"description"`
	Format      string               `json:"format"`
	Required    []string             `json:"required"`
	Closed      *bool                `json:"additionalProperties"`
	Properties  map[string]*fullNode `json:"properties"`
	Items       *fullNode            `json:"items"`
	AnyOf       []*fullNode          `json:"anyOf"`
	Defs        map[string]*fullNode `json:"$defs"`
}

// agreement holds a Go type against a schema.
type agreement struct {
	root       *fullNode
	seen       map[reflect.Type]bool
	complaints []string
}

// disagreements returns a line for each field in which a type and a schema differ.
func disagreements(t *testing.T, of reflect.Type, schema []byte) []string {
	t.Helper()
	a := agreement{root: new(fullNode), seen: map[reflect.Type]bool{}}
	require.NoError(t, json.Unmarshal(schema, a.root))
	a.object(of, a.root, "the object")
	return a.complaints
}

func (a *agreement) complain(format string, values ...any) {
	a.complaints = append(a.complaints, "schema.json: "+fmt.Sprintf(format, values...))
}

func (a *agreement) object(of reflect.Type, node *fullNode, place string) {
	if a.seen[of] {
		return
	}
	a.seen[of] = true
	if node.Closed == nil || *node.Closed {
		a.complain("%s: additionalProperties is not false", place)
	}
	left, required := maps.Clone(node.Properties), []string{}
	for _, field := range reflect.VisibleFields(of) {
		name, options, _ := strings.Cut(field.Tag.Get("json"), ",")
		if field.Anonymous {
			continue
		}
		if options != "omitempty" {
			required = append(required, name)
		}
		property := node.Properties[name]
		delete(left, name)
		if property == nil {
			a.complain("%s has no property %q (%s, field %s of %s): add it with description and unit", place, name, field.Type, field.Name, of)
			continue
		}
		if field.Type.Kind() == reflect.Pointer && options != "omitempty" && !property.mayBeNull() {
			a.complain("%s.%s may be null", place, name)
		}
		a.value(field.Type, property, place+"."+name)
		if property.Description == "" {
			a.complain("%s.%s: no description", place, name)
		}
	}
	for _, name := range slices.Sorted(maps.Keys(left)) {
		a.complain("%s has the property %q, and %s has no such field: take it out", place, name, of)
	}
	if slices.Sort(required); !slices.Equal(required, slices.Sorted(slices.Values(node.Required))) {
		a.complain("%s: required is not %q", place, required)
	}
}

// value holds the type of a field against what the schema says of it.
func (a *agreement) value(of reflect.Type, node *fullNode, place string) {
	if of.Kind() == reflect.Pointer {
		of = of.Elem()
	}
	if len(node.AnyOf) > 0 {
		node = node.AnyOf[0]
	}
	if number := isNumber(of) || of.Kind() == reflect.Slice && isNumber(of.Elem()); number && node.Unit == "" {
		a.complain("%s: no unit; 1 where it has none", place)
	}
	a.kind(of, node, place)
}

// kind compares without regard to null.
func (a *agreement) kind(of reflect.Type, node *fullNode, place string) {
	name := strings.TrimPrefix(node.Ref, "#/$defs/")
	switch inner := a.root.Defs[name]; {
	case of.Kind() == reflect.Struct && of != reflect.TypeFor[time.Time]():
		if inner == nil {
			a.complain("%s: %s does not stand for %s", place, node.Ref, of)
			return
		}
		a.object(of, inner, name)
	case node.word() != jsonWord(of):
		a.complain("%s: type is %s, and the program writes %s", place, node.word(), jsonWord(of))
	case of.Kind() == reflect.Slice:
		of = of.Elem()
		if of.Kind() == reflect.Pointer {
			of = of.Elem()
		}
		a.kind(of, node.Items, place+"[]")
	}
}

func (n *fullNode) mayBeNull() bool {
	types, _ := n.Type.([]any)
	return len(types) == 2 && types[1] == "null" || len(n.AnyOf) == 2 && n.AnyOf[1].Type == "null"
}

// word is the type but for null.
func (n *fullNode) word() string {
	if types, ok := n.Type.([]any); ok {
		return fmt.Sprint(types[0])
	}
	return fmt.Sprint(n.Type)
}

func jsonWord(of reflect.Type) string {
	switch of.Kind() {
	case reflect.Bool:
		return "boolean"
	case reflect.Float64:
		return "number"
	case reflect.Int, reflect.Int64:
		return "integer"
	case reflect.Slice:
		return "array"
	case reflect.Struct, reflect.String:
		return "string" // of the structs only a time is none of ours
	default:
		return of.String()
	}
}

func isNumber(of reflect.Type) bool {
	return slices.Contains([]reflect.Kind{reflect.Float64, reflect.Int, reflect.Int64}, of.Kind())
}

// TestSchemaKnowsEveryField names each field that the schema has not, or has wrong.
func TestSchemaKnowsEveryField(t *testing.T) {
	assert.Empty(t, disagreements(t, reflect.TypeFor[jobJSON](), Schema()))
}

// TestSchemaKnowsEveryField_Bad shows that each complaint comes.
func TestSchemaKnowsEveryField_Bad(t *testing.T) {
	type inner struct {
		Number int `json:"number"`
	}
	type outer struct {
		Energy *float64 `json:"energy_j"`
		Name   string   `json:"name"`
		Inner  inner    `json:"inner"`
	}
	const good = `{"additionalProperties": false, "required": ["energy_j", "inner", "name"], "properties": {
		"energy_j": {"type": ["number", "null"], "unit": "J", "description": "energy"},
		"name": {"type": "string", "description": "name"},
		"inner": {"$ref": "#/$defs/inner", "description": "more"}},
		"$defs": {"inner": {"additionalProperties": false, "required": ["number"], "properties": {"number": {"type": "integer", "unit": "1", "description": "which"}}}}}`
	require.Empty(t, disagreements(t, reflect.TypeFor[outer](), []byte(good)))
	for _, test := range []struct{ former, instead, want string }{
		{`"name": {"type": "string", "description": "name"},`, ``, `the object has no property "name" (string, field Name of export.outer)`},
		{`"name": {`, `"more": {"type": "string"}, "name": {`, `the object has the property "more"`},
		{`, "unit": "J"`, ``, `the object.energy_j: no unit`},
		{`"description": "which"`, `"description": ""`, `inner.number: no description`},
		{`["number", "null"]`, `"number"`, `the object.energy_j may be null`},
		{`"type": "integer"`, `"type": "string"`, `inner.number: type is string, and the program writes integer`},
		{`"required": ["number"]`, `"required": []`, `inner: required is not ["number"]`},
		{`{"inner": {"additionalProperties": false,`, `{"inner": {`, `inner: additionalProperties is not false`},
		{`#/$defs/inner`, `#/$defs/other`, `#/$defs/other does not stand for export.inner`},
	} {
		require.Contains(t, good, test.former)
		got := disagreements(t, reflect.TypeFor[outer](), []byte(strings.Replace(good, test.former, test.instead, 1)))
		require.Len(t, got, 1, test.want)
		assert.Contains(t, got[0], test.want)
	}
}

// decidedSheet has entries of people on record: a decision that was corrected, one
// about a finding that is not there, and a machining.
func decidedSheet(t *testing.T) *sheet.Sheet {
	t.Helper()
	in := inventedInput(inventedClock)
	of := inspect.Refer(&in.Result.Findings[0])
	at := time.Date(2026, 3, 3, 7, 0, 0, 0, time.UTC)
	decided := func(number, corrects int, of inspect.Reference) inspect.Entry {
		return inspect.Entry{
			Number: number, At: at, By: "Inspector 1", Corrects: corrects,
			Photographs: []inspect.Photograph{{SHA256: strings.Repeat("0a", 32), Type: "image/png", Size: 7, Caption: "seen from below"}},
			Disposition: &inspect.Disposition{Of: of, Method: inspect.Visual, Result: inspect.Acceptable, Decision: inspect.Accept, Remark: "ground smooth"},
		}
	}
	gone := of
	gone.Pass, gone.TickNS, gone.Number = 9, 900_000_000_000, 4
	in.Entries = []inspect.Entry{
		decided(1, 0, of), decided(2, 1, of), decided(3, 0, gone),
		{Number: 4, At: at, By: "Inspector 1", Machining: &inspect.Machining{
			Stations: []inspect.Station{{Depth: 0.01, Angle: 90, Diameter: 0.09}}, CleanedUp: inspect.AllRound,
		}},
	}
	return sheet.New(in)
}

func TestSchemaHoldsForExports(t *testing.T) {
	events := []series.Event{{Kind: series.Gap, Epoch: 1, Tick: 1_000, Until: 2_000, Count: 3, Text: "3 frames are missing"}}
	for name, job := range map[string]Job{
		"dated":   {Sheet: inventedSheet(inventedClock), Sources: []series.Source{inventedSource()}, Events: events, WallTime: inventedClock},
		"undated": {Sheet: inventedSheet(nil), Sources: []series.Source{inventedSource()}, Events: events},
		"empty":   {Sheet: inventedSheet(nil)},
		"decided": {Sheet: decidedSheet(t)},
	} {
		t.Run(name, func(t *testing.T) {
			text := written(t, func(b *bytes.Buffer) error { return JSON(b, job) })
			assert.NoError(t, schematest.Validate(Schema(), []byte(text)))
			if name == "decided" {
				for _, part := range []string{`"orphans": [`, `"machining": [`, `"history": [`, `"photographs": [`} {
					assert.Contains(t, text, part)
				}
			}
		})
	}
}

func TestSchemaRefuses(t *testing.T) {
	text := written(t, func(b *bytes.Buffer) error { return JSON(b, Job{Sheet: inventedSheet(inventedClock)}) })
	require.NoError(t, schematest.Validate(Schema(), []byte(text)))
	for former, instead := range map[string]string{
		`"number": 1`:                "\"number\": \"1\"",
		`"energy_j": 6378.75`:        `"energy": 6378.75`,
		`      "gap_s": 0,`:          ``,
		`"pattern": "helix"`:         `"pattern": "spiral"`,
		`"2026-03-02T08:15:00.12345`: `"02.03.2026 08:15:00.12345`,
	} {
		require.Contains(t, text, former)
		assert.Error(t, schematest.Validate(Schema(), []byte(strings.Replace(text, former, instead, 1))), instead)
	}
}
