package port

// System are the places of this system. by-path is for adapters without a serial
// number, which share one name below by-id.
func System() Places {
	return Places{
		Links: []string{"/dev/serial/by-id", "/dev/serial/by-path"},
		Nodes: []string{"/dev/ttyUSB*", "/dev/ttyACM*"},
	}
}

// nodesLast: which adapter is ttyUSB0 is as they were plugged in.
const nodesLast = false

const (
	// Usual is how a port is named in a job file here.
	Usual = "/dev/serial/by-id/..."
	// Seen is where a port stands that the system sees.
	Seen = "a port that the system sees stands in /dev/serial/by-id, and \"sudo dmesg\" shows what it made of the adapter"

	whoHolds = "fuser -v "
)
