// Package aparttest has recorders for tests.
package aparttest

import (
	"context"
	"time"

	"arctally/cmd/internal/apart"
)

// Within starts the recorder in this process: all that is said goes over the
// same line.
func Within(now func() time.Time) apart.Starter {
	return func(o apart.Order, _ string) (*apart.Process, error) {
		ctx, kill := context.WithCancel(context.Background())
		gone := make(chan struct{})
		why := "ended"
		go func() {
			defer close(gone)
			defer kill()
			if err := apart.Serve(ctx, o, now); err != nil {
				why = err.Error()
			}
		}()
		return &apart.Process{Gone: gone, Why: func() string { return why }, Kill: kill}, nil
	}
}
