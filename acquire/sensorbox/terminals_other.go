//go:build !linux

package sensorbox

import "errors"

// openTerminals opens none: there are no pseudo-terminals, or nothing that tells who has one open.
func openTerminals() (Line, error) { return nil, errors.ErrUnsupported }
