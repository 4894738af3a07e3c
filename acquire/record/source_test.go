package record

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
)

// A description that says one thing twice says neither.
func TestDecodeSource_SaysEachOnce(t *testing.T) {
	text, err := encodeSource(&series.Source{Name: "box", Link: "binary"})
	require.NoError(t, err)
	_, err = decodeSource(text)
	require.NoError(t, err)
	_, err = decodeSource(strings.Replace(text, `"name"`, `"name":"another","name"`, 1))
	require.ErrorContains(t, err, `the key "name" stands twice`)
}
