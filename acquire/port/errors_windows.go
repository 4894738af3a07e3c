package port

import (
	"errors"

	"golang.org/x/sys/windows"
)

// isGone is a port whose adapter is gone.
func isGone(err error) bool { return errors.Is(err, windows.ERROR_DEVICE_NOT_CONNECTED) }

// isNoLine is told as the port is opened.
func isNoLine(error) bool { return false }

// isEnded is a call that the system broke off, as it does when the adapter goes.
func isEnded(err error) bool { return errors.Is(err, windows.ERROR_OPERATION_ABORTED) }
