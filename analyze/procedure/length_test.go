package procedure

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
