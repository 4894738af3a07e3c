package foreign

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestOneOfEach(t *testing.T) {
	for _, text := range []string{
		"", "{", "[", "1", `{"a":1,"b":{"a":1},"c":[{"a":1},{"a":2}],"d":"a","e":"a"}`, `["a","a",{"a":"a"}]`, `{"a":1} {"a":2}`, `{"a":1,"b":[],"c":{},"d":null,"e":1e999}`,
	} {
		assert.NoError(t, OneOfEach([]byte(text)), text)
	}
	for text, key := range map[string]string{
		`{"a":1,"a":1}`: "a", `{"by":"x","BY":"y"}`: "BY", `{"decision":"x","deciſion":"y"}`: "deciſion", `{"k":1,"K":1}`: "K", `[{"x":{"b":[1,{"c":1}],"d":{},"b":2}}]`: "b", `{"a":[],"b":[{}],"\u0061":1}`: "a", `{"a":"a","b":"a","a":"b"} more`: "a",
	} {
		assert.EqualError(t, OneOfEach([]byte(text)), `the key "`+key+`" stands twice`, text)
	}
}
