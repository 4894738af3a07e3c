package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/analyze/note"
	"arctally/cmd/internal/explain"
)

// A text that is too long is refused with its field and how long it may be; one that a record from
// before there was a limit holds is shown cut, with how long it is.
func TestLength_OfWhatIsTyped(t *testing.T) {
	if testing.Short() {
		t.Skip("it imports a whole job")
	}
	file, long := importKeyway(t), strings.Repeat("m", 16_000)
	for wants, args := range map[string][]string{
		"--by: it has 16000 letters; 255 are the most":        {"note", file, "--text", "x", "--by", long},
		"text: it has 16000 letters; 4000 are the most":       {"note", file, "--text", long, "--by", "Operator 1"},
		"by: it has 16000 letters; 255 are the most":          {"check", filepath.Join(keyway, "job.yaml"), "--record", file, "meter", "channel=voltage", "reading=10.1V,20.3V,30.2V", "reference=10.0V,20.1V,29.9V", "reference-uncertainty=0.02V", "instrument=x", "by=" + long},
		"certificate: it has 16000 letters; 255 are the most": {"check", filepath.Join(keyway, "job.yaml"), "--record", file, "meter", "channel=voltage", "reading=10.1V,20.3V,30.2V", "reference=10.0V,20.1V,29.9V", "reference-uncertainty=0.02V", "instrument=x", "certificate=" + long, "by=x"},
		"remark: 16000 characters, where 4000 are the most":   {"inspect", file, "finding=1", "method=visual", "result=no indication", "decision=accept", "by=x", "remark=" + long},
		"by: 16000 characters, where 100 are the most":        {"inspect", file, "finding=1", "method=visual", "result=no indication", "decision=accept", "by=" + long},
		"--for: it has 16000 letters; 255 are the most":       {"key", "--for", long},
	} {
		var printed, complaints bytes.Buffer
		assert.Contains(t, []int{explain.Failed, explain.Misuse}, run(t.Context(), args, &printed, &complaints), wants)
		assert.Contains(t, complaints.String(), wants)
	}
	w, err := record.Append(file)
	require.NoError(t, err)
	for _, n := range []note.Note{{By: long, Text: "short"}, {By: "Operator 1", Text: long}} {
		require.NoError(t, w.Event(n.Event()))
	}
	require.NoError(t, w.Close())
	var printed, complaints bytes.Buffer
	require.Equal(t, explain.Open, run(t.Context(), []string{"passes", file}, &printed, &complaints), complaints.String())
	assert.Contains(t, printed.String(), "(shortened, 16000 letters in all)")
	assert.NotContains(t, printed.String(), long)
	paper := filepath.Join(t.TempDir(), "record.pdf")
	require.Equal(t, explain.Open, run(t.Context(), []string{"report", file, "-o", paper}, &printed, &complaints), complaints.String())
	assert.FileExists(t, paper)
}
