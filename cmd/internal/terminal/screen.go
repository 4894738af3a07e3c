// Package terminal is how the program talks to who sits before it. Results go to
// standard output, everything else to standard error: progress, warnings, and errors
// as two lines, "arctally: " and what is wrong, "hint: " and what to do next.
//
// Nothing hidden comes out on either of them but the orders of a progress line: see
// package foreign. Only Data hands on what a program reads as it is.
package terminal

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"arctally/acquire/foreign"
	"arctally/cmd/internal/explain"

	"golang.org/x/term"
)

// Screen is the terminal, or the files and pipes that stand in for it.
type Screen struct {
	Out, Err io.Writer
	Now      func() time.Time
	// live is set where err is a terminal: a line there can be written over.
	live bool
	// orders takes what a terminal obeys, and data what a program reads as it is.
	orders, data io.Writer
}

// New returns the screen of two streams, on the clock of this machine.
func New(stdout, stderr io.Writer) *Screen {
	s := &Screen{Out: foreign.NewWriter(stdout), Err: foreign.NewWriter(stderr), Now: time.Now, live: isLive(stderr), orders: stderr, data: stdout}
	if isTerminal(stdout) {
		s.data = s.Out
	}
	return s
}

// Quiet returns a screen on which nothing is seen.
func Quiet(now func() time.Time) *Screen {
	return &Screen{Out: io.Discard, Err: io.Discard, Now: now, orders: io.Discard, data: io.Discard}
}

// Data is standard output for what a program reads to the letter, where nothing may be shown
// in place of anything. On a terminal it is Out.
func (s *Screen) Data() io.Writer { return s.data }

// isLive reports whether a line that was written there can be written over.
func isLive(w io.Writer) bool {
	file, ok := w.(*os.File)
	return ok && isTerminal(w) && obeys(file)
}

func isTerminal(w io.Writer) bool {
	file, ok := w.(*os.File)
	return ok && term.IsTerminal(int(file.Fd()))
}

// Print writes a result to standard output, whose lines were made of outside words by
// package text or foreign.
func (s *Screen) Print(text string) error {
	_, err := io.WriteString(s.Out, text)
	return err
}

// Printf writes a result to standard output; texts among the values stay in their line.
func (s *Screen) Printf(format string, args ...any) error {
	_, err := fmt.Fprintf(s.Out, format, foreign.Args(args...)...)
	return err
}

// Tell writes a line to standard error; texts among the values stay in it. Where that fails
// there is nobody left to tell.
func (s *Screen) Tell(format string, args ...any) {
	_, _ = fmt.Fprintf(s.Err, format+"\n", foreign.Args(args...)...)
}

// Report tells the person what became of the command and returns the exit status.
func (s *Screen) Report(err error) int {
	defer s.flush()
	o := explain.Of(err)
	if o.Exit == explain.Done || o.Exit == explain.Open {
		return o.Exit
	}
	if errors.Is(err, context.Canceled) {
		err = errInterrupted
	}
	s.Tell("arctally: %v", err)
	if o.Hint != "" {
		s.Tell("hint: %s", o.Hint)
	}
	return o.Exit
}

// flush hands on what never became a whole character.
func (s *Screen) flush() {
	for _, w := range []io.Writer{s.Out, s.Err} {
		if own, ok := w.(*foreign.Writer); ok {
			_ = own.Flush() // who went away misses half a character
		}
	}
}

// Progress shows how far a long piece of work is; nothing where it takes less than a second.
type Progress struct {
	screen *Screen
	what   string
	began  time.Time
	shown  time.Time
	drawn  bool
}

const (
	progressAfter     = time.Second            // shorter work needs no word
	progressEvery     = 200 * time.Millisecond // a line that is written over
	progressEveryLine = 5 * time.Second        // lines that stay
)

// Progress begins to show how far a piece of work is.
func (s *Screen) Progress(what string) *Progress {
	return &Progress{screen: s, what: what, began: s.Now()}
}

// Show says that the share done (0 to 1) of the work is done.
func (p *Progress) Show(share float64) {
	p.ShowText(fmt.Sprintf("%3.0f %%", 100*share))
}

// ShowText shows words in place of a share.
func (p *Progress) ShowText(text string) {
	now := p.screen.Now()
	every := progressEveryLine
	if p.screen.live {
		every = progressEvery
	}
	if now.Sub(p.began) < progressAfter || now.Sub(p.shown) < every {
		return
	}
	p.shown = now
	line := foreign.Line(fmt.Sprintf("%s: %s", p.what, text))
	if p.screen.live {
		p.drawn = true
		_, _ = fmt.Fprintf(p.screen.orders, "\r%s\x1b[K", line)
		return
	}
	p.screen.Tell("%s", line)
}

// Wait does work that cannot say how far it is, and shows for how long. Where ctx
// ends first it leaves the work alone: it must be one that only reads.
func (s *Screen) Wait(ctx context.Context, what string, work func() error) error {
	bar := s.Progress(what)
	defer bar.Clear()
	ticker := time.NewTicker(progressAfter)
	defer ticker.Stop()
	done := make(chan error, 1)
	go func() { done <- work() }()
	for {
		select {
		case err := <-done:
			return err
		case <-ctx.Done():
			return ctx.Err()
		case <-ticker.C:
			bar.ShowText(s.Now().Sub(bar.began).Round(time.Second).String())
		}
	}
}

// Clear takes the line away again, so that what follows starts on a clean one.
func (p *Progress) Clear() {
	if p.drawn {
		p.drawn = false
		_, _ = fmt.Fprint(p.screen.orders, "\r\x1b[K")
	}
}

// errInterrupted is what a person is told who pressed Ctrl-C.
var errInterrupted = errors.New("interrupted")
