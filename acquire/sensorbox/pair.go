package sensorbox

import "context"

// Pair is a line for a box that is not a Box: what is written to it comes out of the
// reader's end, which is opened by its name like any serial port.
type Pair struct{ line Line }

// OpenPair opens a pair, raw and without echo.
func OpenPair() (*Pair, error) {
	p, err := openLine()
	if err != nil {
		return nil, err
	}
	return &Pair{p}, nil
}

// Name is how a reader opens its end.
func (p *Pair) Name() string { return p.line.Name() }

// Read brings what the reader says to the box. It ends with Close.
func (p *Pair) Read(b []byte) (int, error) { return p.line.Read(b) }

// Write waits for the reader rather than lose a byte.
func (p *Pair) Write(b []byte) (int, error) { return p.line.Write(b) }

// AwaitReader returns when somebody else has the reader's end open.
func (p *Pair) AwaitReader(ctx context.Context) error { return p.line.AwaitReader(ctx) }

// Drain returns when the reader has taken the last byte, with an error where it has
// stopped taking them.
func (p *Pair) Drain(ctx context.Context) error { return drain(ctx, p.line, drainLimit) }

// Close pulls the plug.
func (p *Pair) Close() error { return p.line.Close() }
