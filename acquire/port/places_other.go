//go:build unix && !linux && !darwin

package port

// System are the places of this system: the callout devices of USB adapters.
func System() Places { return Places{Nodes: []string{"/dev/cuaU[0-9]*"}} }

// nodesLast: which adapter is cuaU0 is as they were plugged in.
const nodesLast = false

const (
	// Usual is how a port is named in a job file here.
	Usual = "/dev/cuaU0"
	// Seen is where a port stands that the system sees.
	Seen = "a port that the system sees is shown by: ls /dev/cua*"

	whoHolds = "fstat "
)
