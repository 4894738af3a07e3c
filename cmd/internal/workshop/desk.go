package workshop

import "context"

// desk bounds how much is worked on at once, so that who looks on takes neither the
// processor nor the memory from what is being recorded. Who comes later waits in line,
// and leaves it when nobody waits for the answer any more.
type desk chan struct{}

// desks are those of the workshop. A file goes as slowly as who takes it reads it, and a
// weld record takes much memory: neither holds up those who look at a page.
type desks struct {
	looks, data, papers, verifying desk
}

func newDesks() desks {
	return desks{looks: make(desk, 2), data: make(desk, 2), papers: make(desk, 1), verifying: make(desk, 1)}
}

// do does work as soon as there is room for it.
func (d desk) do(ctx context.Context, work func() error) error {
	select {
	case d <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	defer func() { <-d }()
	if err := ctx.Err(); err != nil {
		return err
	}
	return work()
}
