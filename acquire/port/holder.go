package port

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// Holder is a process that has a port open.
type Holder struct {
	Process int
	Name    string // as the system has it; empty where it does not tell
}

// String names the process.
func (h Holder) String() string {
	if h.Name == "" {
		return fmt.Sprintf("process %d", h.Process)
	}
	return fmt.Sprintf("process %d (%s)", h.Process, h.Name)
}

// Grabs reports whether it is one that takes any serial adapter for what it is looking
// for itself: a manager of modems, or a daemon for braille displays. They open a port as
// soon as it is plugged in, send to it, and take bytes away.
func (h Holder) Grabs() bool {
	return slices.ContainsFunc([]string{"modem", "brltty"}, func(word string) bool {
		return strings.Contains(strings.ToLower(h.Name), word)
	})
}

// processes is where the system tells what each process has open.
const processes = "/proc"

// Holders returns the other processes that have a node open, as far as this user may
// see: those of others only root sees.
func Holders(node string) []Holder { return holders(processes, node) }

func holders(root, node string) (found []Holder) {
	// The pattern is ours: it cannot be a bad one.
	open, _ := filepath.Glob(filepath.Join(root, "[0-9]*", "fd", "*"))
	for _, link := range open {
		if target, err := os.Readlink(link); err != nil || target != node {
			continue
		}
		pid, err := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(link))))
		if err != nil || pid == os.Getpid() || slices.ContainsFunc(found, func(h Holder) bool { return h.Process == pid }) {
			continue
		}
		found = append(found, Holder{Process: pid, Name: processName(pid)})
	}
	return found
}

// Rule is a rule for udev that keeps modem managers off the serial adapters, and gives
// them to a group.
func Rule(group string) string {
	return `SUBSYSTEM=="tty", KERNEL=="ttyUSB[0-9]*|ttyACM[0-9]*", ENV{ID_MM_DEVICE_IGNORE}="1", ENV{ID_MM_PORT_IGNORE}="1", GROUP="` + group + `", MODE="0660"`
}

// RuleFile is where the rule belongs.
const RuleFile = "/etc/udev/rules.d/70-arctally.rules"

// usualGroup owns serial ports where the system does not say otherwise.
const usualGroup = "dialout"

// Advice is what keeps a holder that grabs ports off them.
func Advice() string {
	return "write this line into " + RuleFile + ", carry out \"sudo udevadm control --reload\", and plug it in again: " + Rule(usualGroup) +
		" (a daemon for braille displays does not heed it: remove brltty, or mask its service)"
}

// Retune sets another baud rate, from now on and whenever the port comes back.
func (p *Port) Retune(baud int) error {
	if baud <= 0 {
		return wrap("retune", p.config.Name, errBaud)
	}
	p.mu.Lock()
	p.config.Baud = baud
	h, ended := p.handle, p.ended
	p.mu.Unlock()
	switch {
	case ended:
		return &Error{Op: "retune", Port: p.config.Name, Kind: Closed}
	case h == nil:
		return nil // it is set when the node is opened again
	}
	if err := h.retune(modeOf(baud, p.config.Even)); err != nil && !errors.Is(err, errShut) {
		return wrap("retune", p.config.Name, err)
	}
	return nil
}
