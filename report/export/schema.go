package export

import (
	_ "embed" // the schema
	"encoding/json"
	"slices"
	"strings"
	"sync"
)

//go:embed schema.json
var schemaText []byte

// Schema returns the JSON Schema (2020-12) of what JSON writes: each field with
// its description and, in the annotation unit, its unit.
func Schema() []byte { return slices.Clone(schemaText) }

// schemaNode is as much of a schema as tells what a field means.
type schemaNode struct {
	Ref         string                 `json:"$ref"`
	Unit        string                 `json:"unit"`
	Description string                 `json:"description"`
	Format      string                 `json:"format"`
	Properties  map[string]*schemaNode `json:"properties"`
	Items       *schemaNode            `json:"items"`
	AnyOf       []*schemaNode          `json:"anyOf"`
	Defs        map[string]*schemaNode `json:"$defs"`
}

var readSchema = sync.OnceValue(func() *schemaNode {
	root := new(schemaNode)
	if err := json.Unmarshal(schemaText, root); err != nil {
		panic("export: schema.json: " + err.Error())
	}
	return root
})

// field returns the field of an object, an empty one where the schema has none;
// it looks through what may be null.
func (n *schemaNode) field(name string) *schemaNode {
	if of := n.object().Properties[name]; of != nil {
		return of
	}
	return new(schemaNode)
}

// object returns the node that a reference stands for.
func (n *schemaNode) object() *schemaNode {
	switch {
	case n.Ref != "":
		return readSchema().Defs[strings.TrimPrefix(n.Ref, "#/$defs/")]
	case len(n.AnyOf) > 0:
		return n.AnyOf[0].object()
	default:
		return n
	}
}
