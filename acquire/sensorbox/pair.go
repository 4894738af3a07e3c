package sensorbox

import "context"

// Pair is a pair of pseudo-terminals for a box that is not a Box: what is written to
// it comes out of the reader's end, which is opened by its name like any serial port.
type Pair struct{ port port }

// OpenPair opens a pair, raw and without echo.
func OpenPair() (*Pair, error) {
	p, err := openPort()
	if err != nil {
		return nil, err
	}
	return &Pair{p}, nil
}

// Name is how a reader opens its end.
func (p *Pair) Name() string { return p.port.slave.Name() }

// Read brings what the reader says to the box. It ends with Close.
func (p *Pair) Read(b []byte) (int, error) { return p.port.master.Read(b) }

// Write waits for the reader rather than lose a byte.
func (p *Pair) Write(b []byte) (int, error) { return p.port.master.Write(b) }

// AwaitReader returns when somebody else has the reader's end open.
func (p *Pair) AwaitReader(ctx context.Context) error { return p.port.awaitReader(ctx) }

// Drain returns when the reader has taken the last byte, with an error where it has
// stopped taking them.
func (p *Pair) Drain(ctx context.Context) error { return p.port.drain(ctx, drainLimit) }

// Close pulls the plug.
func (p *Pair) Close() error { return p.port.close() }
