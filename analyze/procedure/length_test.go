package procedure

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.yaml.in/yaml/v3"
)

// A name of more letters than anybody reads is refused with its place where it is written, and
// read, shortened, where it stands in a record from before.
func TestParseJob_LongNames(t *testing.T) {
	text, err := os.ReadFile("../../testdata/job/keyway/job.yaml")
	require.NoError(t, err)
	long := strings.Repeat("m", 16_000)
	spoilt := []byte(strings.Replace(string(text), "Operator 1", long, 1))
	_, err = ParseJob("job.yaml", spoilt)
	assert.ErrorContains(t, err, "people.operator: it has 16000 letters; 255 are the most")
	job, err := ParseKeptJob("job.yaml", spoilt)
	require.NoError(t, err)
	assert.Equal(t, long[:255]+"... (shortened, 16000 letters in all)", job.People.Operator)
	procedureText, err := os.ReadFile("../../testdata/job/keyway/procedure.yaml")
	require.NoError(t, err)
	spoilt = []byte(strings.Replace(string(procedureText), "SHOP-3 rev 1", long, 1))
	_, err = ParseProcedure("procedure.yaml", spoilt)
	assert.ErrorContains(t, err, "procedure: it has 16000 letters; 255 are the most")
	kept, err := ParseKeptProcedure("procedure.yaml", spoilt)
	require.NoError(t, err)
	assert.True(t, strings.HasSuffix(kept.Name, "(shortened, 16000 letters in all)"))
}

// scalars are the values of a document.
func scalars(n *yaml.Node) (all []*yaml.Node) {
	if n.Kind == yaml.ScalarNode {
		return []*yaml.Node{n}
	}
	for k, one := range n.Content {
		if n.Kind != yaml.MappingNode || k%2 == 1 {
			all = append(all, scalars(one)...)
		}
	}
	return all
}

// Whatever value of a job is 16 000 letters long, it is refused at its line in few words.
func TestParseJob_EveryTextHasALimit(t *testing.T) {
	const parts = `
consumables: {wire: solid, wire_batch: A-1, gas: Ar 80, gas_batch: 55}
material: {grade: S355}
customer: {name: a mill, order: "7"}
machine: {name: a loader, serial: "9"}
`
	text, err := os.ReadFile("../../testdata/job/keyway/job.yaml")
	require.NoError(t, err)
	var document yaml.Node
	require.NoError(t, yaml.Unmarshal(append(text, parts...), &document))
	values := scalars(&document)
	require.Greater(t, len(values), 30)
	for _, value := range values {
		was := *value
		*value = yaml.Node{Kind: yaml.ScalarNode, Value: strings.Repeat("m", 16_000)}
		spoilt, err := yaml.Marshal(&document)
		require.NoError(t, err)
		*value = was
		_, err = ParseJob("job.yaml", spoilt)
		require.Error(t, err, was.Value)
		assert.Regexp(t, `^job\.yaml:\d+:\d+: `, err.Error(), was.Value)
		assert.Less(t, len(err.Error()), 5*longestReason, was.Value)
	}
}
