package heat_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/acquire/quantity"
	"arctally/analyze/heat"
	"arctally/analyze/procedure"
)

func TestThermalEfficiency_EveryProcessOfAProcedure(t *testing.T) {
	for _, process := range procedure.Processes() {
		k, ok := heat.ThermalEfficiency(process)
		assert.True(t, ok, process)
		assert.Greater(t, k, quantity.Ratio(0), process)
		assert.LessOrEqual(t, k, quantity.Ratio(1), process)
	}
}
