package analyze

import "slices"

// queue keeps items in the order in which they came; next is its front.
type queue[T any] struct {
	items []T
	front int
}

func (q *queue[T]) push(item T) { q.items = append(q.items, item) }

// grow makes room for n items at the back and returns it.
func (q *queue[T]) grow(n int) []T {
	had := len(q.items)
	q.items = slices.Grow(q.items, n)[:had+n]
	return q.items[had:]
}

// next returns the front, nil where the queue is empty.
func (q *queue[T]) next() *T {
	if q.front == len(q.items) {
		return nil
	}
	return &q.items[q.front]
}

// take removes the front.
func (q *queue[T]) take() { q.front++ }

// tidy gives back the room of what was taken, now and then.
func (q *queue[T]) tidy() {
	if q.front > len(q.items)/2 {
		q.items = q.items[:copy(q.items, q.items[q.front:])]
		q.front = 0
	}
}
