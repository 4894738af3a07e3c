package port

import "go.bug.st/serial"

// System are the places of this system, which keeps a list of its ports. The library reads
// that list, and opens none of them.
func System() Places {
	return Places{Names: func() []string {
		names, _ := serial.GetPortsList() // a list that cannot be read names none
		return names
	}}
}

// nodesLast: Windows gives an adapter the number that it had before, or else the socket that
// it is plugged into.
const nodesLast = true

const (
	// Usual is how a port is named in a job file here.
	Usual = "COM3"
	// Seen is where a port stands that the system sees.
	Seen = "a port that the system sees stands in the Device Manager, below Ports"
)
