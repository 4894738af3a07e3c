package port

import (
	"errors"

	"golang.org/x/sys/windows"
)

// isGone is a port whose adapter is gone.
func isGone(err error) bool { return errors.Is(err, windows.ERROR_DEVICE_NOT_CONNECTED) }

// isNoLine is nothing more than the library says.
func isNoLine(error) bool { return false }
