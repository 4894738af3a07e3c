// Package schematest helps tests to hold a JSON document against a JSON Schema, with
// a validator that shares no code with ours.
package schematest

import (
	"bytes"
	"fmt"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// Validate returns where a document breaks a schema of the draft 2020-12; the formats
// of strings, such as times, are held too.
func Validate(schema, document []byte) error {
	said, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema))
	if err != nil {
		return fmt.Errorf("schema: %w", err)
	}
	compiler := jsonschema.NewCompiler()
	compiler.AssertFormat()
	const name = "schema.json"
	if err := compiler.AddResource(name, said); err != nil {
		return fmt.Errorf("schema: %w", err)
	}
	compiled, err := compiler.Compile(name)
	if err != nil {
		return fmt.Errorf("schema: %w", err)
	}
	if compiled.DraftVersion != 2020 {
		return fmt.Errorf("schema: the draft is %d", compiled.DraftVersion)
	}
	object, err := jsonschema.UnmarshalJSON(bytes.NewReader(document))
	if err != nil {
		return fmt.Errorf("document: %w", err)
	}
	return compiled.Validate(object)
}
