package port

// System are the places of this system: the callout devices. The others of the same port
// (tty) wait for a line that says that a carrier is there, which no sensor box has.
func System() Places { return Places{Nodes: []string{"/dev/cu.usb*", "/dev/cu.wch*", "/dev/cu.SLAB*"}} }

// nodesLast: a name is made of the adapter's serial number, or else of the socket that it
// is plugged into.
const nodesLast = true

const (
	// Usual is how a port is named in a job file here.
	Usual = "/dev/cu.usbserial-..."
	// Seen is where a port stands that the system sees.
	Seen = "a port that the system sees is shown by: ls /dev/cu.*"

	whoHolds = "lsof "
)
