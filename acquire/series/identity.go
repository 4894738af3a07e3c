package series

import (
	"slices"
	"strings"
)

// The identities of a source to which nothing can be bound.
const (
	// Undescribed is a box that has not said yet who it is.
	Undescribed = "(not said yet)"
	// contested begins the identity of a box whose serial another one says too.
	contested = "(two boxes say "
)

// onPort begins the identity of a box without a serial: that of its port.
const onPort = "port "

// Identity is what a box is known by: its serial, or its port where it has none. It
// is empty where nobody can say, as of a capture. A serial that reads like one of the
// other identities is marked as a serial, so that no box can pass for what it is not.
func (s *Source) Identity() string {
	serial := strings.TrimSpace(s.Serial)
	for _, mark := range []string{"(", onPort, "serial "} {
		if strings.HasPrefix(serial, mark) {
			serial = "serial " + serial
			break
		}
	}
	switch {
	case s.Contested:
		return contested + serial + ")"
	case s.Assumed:
		return Undescribed
	case serial != "":
		return serial
	case s.Port != "":
		return onPort + s.Port
	default:
		return ""
	}
}

// IdentityOf is the identity of a box as a person names it: by its serial, or as port
// NAME where it has none; empty is none.
func IdentityOf(name string) string {
	name = strings.TrimSpace(name)
	if IsPort(name) {
		return name
	}
	return (&Source{Serial: name}).Identity()
}

// IsNamed tells whether an identity is that of one box, to which something can be bound.
func IsNamed(identity string) bool { return identity != "" && !strings.HasPrefix(identity, "(") }

// IsPort tells whether an identity is that of a port, because the box has no serial.
func IsPort(identity string) bool { return strings.HasPrefix(identity, onPort) }

// Who says in words which box an identity is.
func Who(identity string) string {
	switch {
	case identity == "":
		return "a box that nobody named"
	case identity == Undescribed:
		return "a box that has not said yet who it is"
	case strings.HasPrefix(identity, contested):
		return "one of two boxes that both say " + strings.TrimSuffix(strings.TrimPrefix(identity, contested), ")")
	case IsPort(identity):
		return "the box on " + identity
	default:
		return "box " + identity
	}
}

// BoundTo says in words to which box something is bound.
func BoundTo(identity string) string {
	if IsPort(identity) {
		return "bound to " + identity + ", because the box has no serial"
	}
	return "bound to " + Who(identity)
}

// BoxOf is the identity of the box that a channel belongs to.
func (s *Source) BoxOf(channel string) string {
	k := slices.IndexFunc(s.Channels, func(c Channel) bool { return c.Name == channel })
	if k < 0 {
		return s.Identity()
	}
	return s.OwnerOf(s.Channels[k])
}

// OwnerOf is the identity of the box that one of its channels belongs to.
func (s *Source) OwnerOf(c Channel) string {
	if c.Owner != "" {
		return c.Owner
	}
	return s.Identity()
}

// Boxes are the identities of all boxes that a source speaks for, its own first.
func (s *Source) Boxes() []string {
	boxes := []string{s.Identity()}
	for k := range s.Channels {
		if box := s.OwnerOf(s.Channels[k]); !slices.Contains(boxes, box) {
			boxes = append(boxes, box)
		}
	}
	return boxes
}

// VirtualBox begins the name of every box that lays nothing, and invents what it says.
const VirtualBox = "virtual box"

// Simulated reports whether what the source says was invented by a virtual box.
func (s *Source) Simulated() bool { return strings.HasPrefix(s.Name, VirtualBox) }
