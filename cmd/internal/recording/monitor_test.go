package recording

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/series"
)

func TestBoxTime(t *testing.T) {
	var e boxTime
	e.see(&series.Block{Kind: series.Turn, Ticks: []int64{5e9, 7e9}, Count: []int64{1, 2}})
	e.see(&series.Block{Kind: series.Turn, Epoch: 1, Ticks: []int64{1e9, 2e9}, Count: []int64{1, 2}})
	assert.InDelta(t, 3, e.seconds(), 1e-12)
}
