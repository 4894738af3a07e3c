//go:build !linux

package record

import "testing"

// asNobody would run do with the rights of another user, which a thread can have on Linux alone.
func asNobody(t *testing.T, _ func()) { t.Skip("a thread has no rights of its own here") }
