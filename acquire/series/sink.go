package series

// Sink takes what a source brings, in the order of arrival. Calls are made
// one at a time, though not always from one goroutine, and whoever hands out waits for them: a sink
// that may take long has a buffer of its own. A block is the sink's only until
// it returns.
type Sink interface {
	// Source comes before the first block, and again when the source changes.
	Source(Source) error
	Block(*Block) error
	Event(Event) error
}
