// Package waveform knows what a short-circuiting arc does within a pass: how
// often and for how long the wire touches the pool, what the current does
// meanwhile, and how far one cycle differs from the next.
//
// Terms. The voltage of such an arc stands at two levels, a lower one in the
// short and an upper one in the arc. Neither is assumed: with the leads in the
// way a short was seen at 8.6 V. They are found from the signal itself (see
// levels), and a short begins below one threshold between them and ends above
// another one. A transfer is a short of more than a millisecond: shorter ones
// are mostly touches that are blown apart. A cycle runs from the beginning of a
// transfer to that of the next. A stub is a short of more than 10 ms: the wire
// has been pushed into the pool unmelted.
//
// The instability index is the spread of the cycles over their mean,
//
//	x = s(T)/mean(T)      T in s
//
// What is told depends on how fast voltage and current were sampled:
//
//	from  2 kHz   transfers, their rate and cycles, share of time in the short,
//	              stubs, instability, the 95 % point of the voltage
//	from 10 kHz   every short that lasts for a sample, durations of short and
//	              arc, peak current, its rate of rise, re-ignition voltage
//
// and below 2 kHz nothing. At 10 kHz touches of less than 0.1 ms are partly
// missed, so that the rate of all shorts is lower than at 50 kHz; rates of
// transfers agree.
//
// Everything is streaming, in constant memory, and depends on the samples alone.
// The package has no errors: what is not known is nil.
package waveform

import "arctally/acquire/quantity"

// What parts a transfer from a touch, and a stub from a transfer, in ns.
// Common practice, no source; the first is that of the recorded figures.
const (
	transferTime = 1_000_000
	stubTime     = 10_000_000
)

// The longest sample intervals, in ns, that still tell transfers, and all shorts.
const (
	slowest  = 500_000
	fineStep = 100_000
)

// Statistics are what the shorts of some arc time come to. A pointer
// that is nil stands for what is not known.
type Statistics struct {
	Step  quantity.Seconds // mean sample interval
	Known quantity.Seconds // arc time in which shorts could be told from arc

	ShortLevel quantity.Volts // where the voltage stands in the short
	ArcLevel   quantity.Volts // and in the arc

	Shorts     *int            // all
	ShortRate  *quantity.Hertz // of all
	Transfers  int             // over 1 ms
	Transfer   quantity.Hertz  // rate of them
	ShortShare quantity.Ratio  // of time in the short
	Stubs      int             // over 10 ms

	ShortTime   *quantity.Seconds // mean duration of a short
	ShortSpread *quantity.Seconds // its standard deviation
	ArcTime     *quantity.Seconds // mean duration of the arc between two shorts
	ArcSpread   *quantity.Seconds
	Instability *quantity.Ratio // spread of the cycles over their mean

	PeakCurrent *quantity.Amperes // mean of the peaks of the transfers
	PeakSpread  *quantity.Amperes
	RiseRate    *float64        // A/s, mean over the transfers, from touch to peak
	Reignition  *quantity.Volts // mean highest voltage in the 0.3 ms after a transfer

	Voltage95 quantity.Volts   // 95 % of the samples are below
	Current   quantity.Amperes // mean
	RMS       quantity.Amperes // of the current
}
