package port

import (
	"fmt"
	"os"
	"strings"
)

// Hint returns what the operator can do next; "" where nothing is known.
func (e *Error) Hint() string {
	switch e.Kind {
	case Missing, NotAPort, Unplugged:
		return plugHint(Candidates())
	case Busy:
		return busyHint(e.Port, e.Holder)
	case Permission:
		return permissionHint(e.Port, e.Err)
	default:
		return ""
	}
}

func plugHint(found []string) string {
	if len(found) == 0 {
		return "no serial adapter is plugged in: check the cable and the supply of the sensor box"
	}
	return "name one of the ports that are plugged in: " + strings.Join(found, ", ") + " (\"arctally links\" says who speaks on which)"
}

func busyHint(port string, holder int) string {
	if holder == 0 {
		return heldHint(port)
	}
	if holder == os.Getpid() {
		return "two sensors of the job name the same port: give each its own"
	}
	return fmt.Sprintf("end process %d, or name another port", holder)
}
