package sheet

import (
	"encoding/hex"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestReadHead(t *testing.T) {
	const head = "5f0c9e1d77aa0b42c6d3e8f1905b7a645f0c9e1d77aa0b42c6d3e8f1905b7a64"
	for _, said := range []string{head, strings.ToUpper(head), HeadText(head), " " + strings.ToLower(HeadText(head)) + "\n", head[:32] + " " + head[32:]} {
		read, ok := ReadHead(said)
		assert.True(t, ok, said)
		assert.Equal(t, head, hex.EncodeToString(read), said)
	}
	for _, said := range []string{"", "ARCTALLY HEAD", "xyz", head + "0"} {
		_, ok := ReadHead(said)
		assert.False(t, ok, said)
	}
}
