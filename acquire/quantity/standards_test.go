package quantity_test

import (
	"testing"

	"arctally/acquire/quantity"
	"arctally/acquire/quantity/quantitytest"
)

func TestStandards(t *testing.T) {
	quantitytest.Check(t, "quantity", map[string]func(*testing.T, quantitytest.Row){
		"JoulesPerMetre":  sameQuantity[quantity.JoulesPerMetre],
		"MetresPerSecond": sameQuantity[quantity.MetresPerSecond],
	}, "heat-input.tsv", "wire.tsv")
}

// sameQuantity checks that both figures of a row mean the same quantity.
func sameQuantity[Q quantity.Quantity](t *testing.T, row quantitytest.Row) {
	quantitytest.Want(t, row, "q", quantitytest.Input[Q](t, row, "q"))
}
