package record

// refusal returns the error that every call meets, if there is one.
func (w *Writer) refusal() error {
	if w.err == nil && w.closing {
		return &Error{Kind: Closed, Path: w.path}
	}
	return w.err
}

// room waits until the memory can take n more samples.
func (w *Writer) room(n int) error {
	for w.waiting+n > w.option.limit && w.waiting > 0 {
		if err := w.refusal(); err != nil {
			return err
		}
		w.cut()
		w.poke()
		w.moved.Wait()
	}
	return w.refusal()
}

// charge counts something small that was added to the open group.
func (w *Writer) charge(n int) {
	w.open.cost += n
	w.waiting += n
}

// cut ends the open group and begins the next one.
func (w *Writer) cut() {
	if w.open.empty() {
		return
	}
	w.queue = append(w.queue, w.open)
	w.sealed++
	if n := len(w.free); n > 0 {
		w.open, w.free = w.free[n-1], w.free[:n-1]
		return
	}
	w.open = new(group)
}

// nudge asks for a commit before its time, where an import fills the memory.
func (w *Writer) nudge() {
	if w.waiting > w.option.limit/8 {
		w.poke()
	}
}

func (w *Writer) poke() {
	select {
	case w.wake <- struct{}{}:
	default:
	}
}
