package series

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseColumn(t *testing.T) {
	for text, want := range map[string]Column{
		"1":               {Number: 1, Factor: 1},
		" 2 * 0.1 ":       {Number: 2, Factor: 0.1},
		"128*-1e-3":       {Number: 128, Factor: -1e-3},
		"3*0.01666666667": {Number: 3, Factor: 0.01666666667},
	} {
		c, err := ParseColumn("voltage", text)
		require.NoError(t, err, text)
		want.Channel = "voltage"
		assert.Equal(t, want, c)
		again, err := ParseColumn("voltage", c.String())
		require.NoError(t, err)
		assert.Equal(t, c, again)
	}
	for _, text := range []string{"", "0", "-1", "129", "1.5", "U", "1*", "1*0", "1*x", "1*1e10", "1*1e-10", "1*NaN", "1*inf", "1*2*3", "1+2", "1,2", "2*0,1"} {
		_, err := ParseColumn("voltage", text)
		assert.Error(t, err, text)
	}
}

func TestUnitOfColumn(t *testing.T) {
	for _, name := range ColumnChannels() {
		assert.NotEmpty(t, UnitOfColumn(name))
	}
	assert.Empty(t, UnitOfColumn("turns"))
}
