package foreign

import (
	"io"
	"sync"
	"unicode/utf8"
)

// Writer hands text on with every hidden character shown by its number. Several may write
// at once.
type Writer struct {
	mu   sync.Mutex
	to   io.Writer
	open []byte // the beginning of a character whose end has not come yet
	buf  []byte
}

// NewWriter returns a writer before another one.
func NewWriter(to io.Writer) *Writer { return &Writer{to: to} }

// Write implements io.Writer.
func (w *Writer) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.open) == 0 && isPlain(p) {
		return w.to.Write(p)
	}
	whole := append(w.open, p...)
	end := len(whole) - openEnd(whole)
	w.buf = appendVisible(w.buf[:0], string(whole[:end]))
	w.open = append([]byte(nil), whole[end:]...)
	if _, err := w.to.Write(w.buf); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Flush hands on what never became a whole character.
func (w *Writer) Flush() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if len(w.open) == 0 {
		return nil
	}
	_, err := w.to.Write(appendVisible(nil, string(w.open)))
	w.open = nil
	return err
}

// openEnd is how many bytes at the end begin a character that is not whole.
func openEnd(p []byte) int {
	for n := 1; n < utf8.UTFMax && n <= len(p); n++ {
		if tail := p[len(p)-n:]; utf8.RuneStart(tail[0]) {
			if utf8.FullRune(tail) {
				return 0
			}
			return n
		}
	}
	return 0
}
