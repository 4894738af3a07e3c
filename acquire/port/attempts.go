package port

import "time"

const (
	// lookEvery is how often it is looked whether a port that is away has come
	// back. A look asks the system what stands behind the name, and opens nothing:
	// opening resets some boxes.
	lookEvery = 250 * time.Millisecond
	// longestWait is the most looks between two attempts to open a node that fails:
	// one second. Ours, no source.
	longestWait = 4
)

// attempts decides at which looks a node is opened again. A node that fails is
// left alone for longer each time, until bytes have come. One that has gone, or
// that has come back as another, has not failed yet: it does not pay for the
// one before it.
type attempts struct {
	failed nodeID // what stood behind the name when it was last opened
	tried  bool   // there is one that failed
	wait   int    // looks from one attempt to the next
	left   int    // looks until the next attempt
}

// due reports whether the node behind the name is to be opened at this look.
func (a *attempts) due(node nodeID, there bool) bool {
	if !there {
		a.forget()
		return false
	}
	if !a.tried || a.failed != node {
		a.failed, a.tried = node, true
		a.wait, a.left = 1, 1
		return true
	}
	if a.left--; a.left > 0 {
		return false
	}
	a.wait = min(2*a.wait, longestWait)
	a.left = a.wait
	return true
}

// forget begins anew: bytes have come, or the node has gone.
func (a *attempts) forget() { *a = attempts{} }
