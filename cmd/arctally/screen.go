package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"arctally/cmd/internal/explain"

	"golang.org/x/sys/unix"
)

// screen is the terminal, or the files and pipes that stand in for it.
type screen struct {
	out, err io.Writer
	now      func() time.Time
	// live is set where err is a terminal: a line there can be written over.
	live bool
}

func newScreen(stdout, stderr io.Writer) *screen {
	return &screen{out: stdout, err: stderr, now: time.Now, live: isTerminal(stderr)}
}

func isTerminal(w io.Writer) bool {
	file, ok := w.(*os.File)
	if !ok {
		return false
	}
	_, err := unix.IoctlGetTermios(int(file.Fd()), unix.TCGETS)
	return err == nil
}

// print writes a result to standard output.
func (s *screen) print(text string) error {
	_, err := io.WriteString(s.out, text)
	return err
}

// tell writes a line to standard error. Where that fails there is nobody left to tell.
func (s *screen) tell(format string, args ...any) {
	_, _ = fmt.Fprintf(s.err, format+"\n", args...)
}

// report tells the person what became of the command and returns the exit status.
func (s *screen) report(err error) int {
	o := explain.Of(err)
	if o.Exit == explain.Done || o.Exit == explain.Open {
		return o.Exit
	}
	if errors.Is(err, context.Canceled) {
		err = errInterrupted
	}
	s.tell("arctally: %v", err)
	if o.Hint != "" {
		s.tell("hint: %s", o.Hint)
	}
	return o.Exit
}

// progress shows how far a long piece of work is; nothing where it takes less than a second.
type progress struct {
	screen *screen
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

func (s *screen) progress(what string) *progress {
	return &progress{screen: s, what: what, began: s.now()}
}

// show says that the share done (0 to 1) of the work is done.
func (p *progress) show(share float64) {
	p.showText(fmt.Sprintf("%3.0f %%", 100*share))
}

func (p *progress) showText(text string) {
	now := p.screen.now()
	every := progressEveryLine
	if p.screen.live {
		every = progressEvery
	}
	if now.Sub(p.began) < progressAfter || now.Sub(p.shown) < every {
		return
	}
	p.shown = now
	line := fmt.Sprintf("%s: %s", p.what, text)
	if p.screen.live {
		p.drawn = true
		_, _ = fmt.Fprintf(p.screen.err, "\r%s\x1b[K", line)
		return
	}
	p.screen.tell("%s", line)
}

// wait does work that cannot say how far it is, and shows for how long. Where ctx
// ends first it leaves the work alone: it must be one that only reads.
func (s *screen) wait(ctx context.Context, what string, work func() error) error {
	bar := s.progress(what)
	defer bar.clear()
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
			bar.showText(s.now().Sub(bar.began).Round(time.Second).String())
		}
	}
}

// clear takes the line away again, so that what follows starts on a clean one.
func (p *progress) clear() {
	if p.drawn {
		p.drawn = false
		_, _ = fmt.Fprint(p.screen.err, "\r\x1b[K")
	}
}

// errInterrupted is what a person is told who pressed Ctrl-C.
var errInterrupted = errors.New("interrupted")
