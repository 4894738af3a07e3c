package analyze

import "arctally/acquire/quantity"

// StateIn tells how a value stands to a window; nil is not known.
func StateIn[Q quantity.Quantity](q *Q, window quantity.Range[Q]) WindowState {
	if q == nil {
		return ""
	}
	return stateOf(*q, window)
}
