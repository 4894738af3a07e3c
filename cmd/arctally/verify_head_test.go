package main

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/record"
	"arctally/cmd/internal/explain"
	"arctally/report/sheet"
)

// What stands on a paper, or what the code there says, is held against the file: also once
// somebody has put more on record. Another record never had that head.
func TestVerify_Head(t *testing.T) {
	if testing.Short() {
		t.Skip("it imports a whole job")
	}
	file := importKeyway(t)
	reader, err := record.Open(file)
	require.NoError(t, err)
	head, err := reader.Fingerprint()
	require.NoError(t, err)
	require.NoError(t, reader.Close())
	verify := func(said string, status int) string {
		var printed, complaints bytes.Buffer
		require.Equal(t, status, run(t.Context(), []string{"verify", file, "--head", said}, &printed, &complaints), complaints.String())
		return printed.String() + complaints.String()
	}
	says := verify(head, explain.Done)
	assert.Contains(t, says, "the head on the paper is that of this record as it is: the paper was made of commits 1 to ")
	assert.Contains(t, says, "it cannot be known from the head whether the figures printed beside it were changed")
	require.Zero(t, run(t.Context(), []string{"note", file, "--text", "more", "--by", "Operator 1"}, new(bytes.Buffer), new(bytes.Buffer)))
	says = verify(sheet.HeadText(head), explain.Done)
	assert.Regexp(t, `the head on the paper is that of this record after commit (\d+): the paper was made of commits 1 to \d+; commits \d+ to \d+ were added later`, says)
	assert.NotContains(t, says, "as it is")
	other := strings.Repeat("0", len(head))
	says = verify(other, explain.Failed)
	assert.Contains(t, says, "the record is whole, but it never had the head on the paper")
	assert.Contains(t, says, "which of them cannot be known from here")
	for _, wrong := range []string{head[2:], head + "00", "x", sheet.HeadText(head)[1:]} {
		assert.Contains(t, verify(wrong, explain.Misuse), "is no head: type its 64 figures")
	}
	assert.NotContains(t, verify("", explain.Done), "head")
}
