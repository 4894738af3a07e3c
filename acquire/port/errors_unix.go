//go:build unix

package port

import (
	"errors"

	"golang.org/x/sys/unix"
)

// isGone is a node whose adapter is gone.
func isGone(err error) bool { return errors.Is(err, unix.ENODEV) || errors.Is(err, unix.ENXIO) }

// isNoLine is a device that is no serial line.
func isNoLine(err error) bool { return errors.Is(err, unix.ENOTTY) }

// isEnded is nothing more than the library says.
func isEnded(error) bool { return false }
