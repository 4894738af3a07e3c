package workshop

import (
	"context"
	"time"

	"arctally/cmd/internal/links"
	"arctally/report/page"
)

// longestListen is how long the ports are listened to. It is more than it takes where
// somebody speaks at no rate that is known.
const longestListen = 90 * time.Second

// Listen implements page.Listener. It has the bench, so that no recording begins on a
// port that it listens to.
func (w *workshop) Listen(ctx context.Context) ([]page.PortRow, error) {
	if !w.bench.TryLock() {
		return nil, errBenchInUse
	}
	defer w.bench.Unlock()
	if busy := w.busy(); busy != nil {
		return nil, runsAlready(busy.Record())
	}
	ctx, stop := context.WithTimeout(ctx, longestListen)
	defer stop()
	found, err := links.Find(ctx, links.Options{Places: w.places, Now: w.screen.Now, Ask: links.AskModbus})
	if err != nil {
		return nil, err
	}
	rows := make([]page.PortRow, 0, len(found))
	for k := range found {
		p := &found[k]
		rows = append(rows, page.PortRow{Port: p.Name, State: string(p.State), Says: p.Says(), Problem: p.Problem, Hint: p.Hint, Values: p.Values()})
	}
	return rows, nil
}
