package pass

import "arctally/acquire/quantity"

// Reading is a value that held when a pass began, and where it comes from.
type Reading[Q quantity.Quantity] struct {
	Value Q
	By    string // who typed it in; empty where a channel brought it
}

// AtStart is what is known of a pass as it begins; nil is not known.
type AtStart struct {
	Temperature *Reading[quantity.Celsius]
	GasFlow     *Reading[quantity.CubicMetresPerSecond]
}
