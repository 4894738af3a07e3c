//go:build !linux

package apart

// beforeAll starts others where this process stands: elsewhere there is no thread that could
// stay before the rest.
func beforeAll() (start func(func() error) error) { return func(do func() error) error { return do() } }
