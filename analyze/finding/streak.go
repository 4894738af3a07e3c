package finding

// The limits of a single look. Ours; common practice, no source.
const (
	stubLimit = 2.0  // Hz: shorts of more than 10 ms
	slipLimit = 0.15 // share of the wire speed that the current does not account for
)

// streak follows a value that is above its limit look after look.
type streak struct {
	count       int
	first, last glance
	worst       float64
	report      func(streak)
}

// follow takes the value of the next look.
func (k *streak) follow(g glance, limit, value float64) {
	if value <= limit {
		k.close()
		return
	}
	if k.count == 0 {
		k.first, k.worst = g, value
	}
	k.count++
	k.last, k.worst = g, max(k.worst, value)
}

// close ends the streak and reports it if there was one.
func (k *streak) close() {
	if k.count > 0 {
		k.report(*k)
	}
	k.count = 0
}
