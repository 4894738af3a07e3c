// Package waveform knows how an arc burns within a pass: in which mode the metal goes
// over to the pool, and what that mode shows. Of a dip arc it tells how often and for how
// long the wire touches the pool, what the current does meanwhile, and how far one cycle
// differs from the next; of a pulsed one how often the source pulses, and between which
// levels; of an arc that does neither how far its voltage wavers. What has no meaning in a
// mode is not told of it.
//
// Terms. The mode is told before anything is named a short (see Mode): in a short the
// current rises while the voltage falls, in a pulse both rise.
// The voltage of a dip arc stands at two levels, a lower one in the
// short and an upper one in the arc. Neither is assumed: with the leads in the
// way a short was seen at 8.6 V. They are found from the signal itself (see
// levels), and a short begins below one threshold between them and ends above
// another one. A transfer is a short of more than a millisecond: shorter ones
// are mostly touches that are blown apart, and what is shorter than a neck of metal can
// be is no short. A cycle runs from the beginning of a
// transfer to that of the next. A stub is a short far longer than those of this arc: the
// wire has been pushed into the pool unmelted.
//
// The instability index is the spread of the cycles over their mean,
//
//	x = s(T)/mean(T)      T in s
//
// What is told depends on how fast voltage and current were sampled:
//
//	from  2 kHz   the mode, pulses, transfers, their rate and cycles, share of time
//	              in the short, stubs, instability, the 95 % point of the voltage
//	from 10 kHz   every short, durations of short and arc, peak current, its rate of
//	              rise, re-ignition voltage
//
// and below 2 kHz nothing. At 10 kHz a short of 0.2 ms is missed if a sample at one of
// its ends is, so that the rate of all shorts is a little lower than at 50 kHz; rates
// of transfers agree.
//
// Everything is streaming, in constant memory, and depends on the samples alone.
// The package has no errors: what is not known is nil.
package waveform

import "arctally/acquire/quantity"

// transferTime parts a transfer from a touch, in ns. Common practice, no source; it is
// that of the recorded figures.
const transferTime = 1_000_000

// The longest sample intervals, in ns, that still tell transfers, and all shorts.
const (
	slowest  = 500_000
	fineStep = 100_000
)

// Statistics are what some arc time comes to. A pointer that is nil stands for what
// is not known.
type Statistics struct {
	Mode  Mode
	Step  quantity.Seconds // mean sample interval
	Known quantity.Seconds // arc time in which shorts, or pulses, could be told

	// What the shorts come to, where ShortsTold is set.
	ShortsTold bool
	ShortLevel quantity.Volts  // where the voltage stands in the short
	ArcLevel   quantity.Volts  // and in the arc
	Shorts     *int            // all
	ShortRate  *quantity.Hertz // of all
	Transfers  int             // over 1 ms
	Transfer   quantity.Hertz  // rate of them
	ShortShare quantity.Ratio  // of time in the short
	Stubs      int
	StubLimit  quantity.Seconds // a longer short is one

	ShortTime   *quantity.Seconds // mean duration of a short
	ShortSpread *quantity.Seconds // its standard deviation
	ArcTime     *quantity.Seconds // mean duration of the arc between two shorts
	ArcSpread   *quantity.Seconds
	Instability *quantity.Ratio // spread of the cycles over their mean

	PeakCurrent *quantity.Amperes // mean of the peaks of the transfers
	PeakSpread  *quantity.Amperes
	RiseRate    *float64        // A/s, mean over the transfers, from touch to peak
	Reignition  *quantity.Volts // mean highest voltage in the 0.3 ms after a transfer

	// What the pulses come to.
	PulseRate         *quantity.Hertz
	PulseShare        *quantity.Ratio   // of time in the pulse
	Peak              *quantity.Amperes // mean of the highest current of each pulse
	Background        *quantity.Amperes // mean of the lowest between two
	PeakVoltage       *quantity.Volts   // mean in the pulse
	BackgroundVoltage *quantity.Volts   // and between

	// Unrest is how far the voltage wavers, as a standard deviation over its mean: of a
	// spray or globular arc from one 10 ms to the next, of a pulsed one from pulse to pulse.
	Unrest *quantity.Ratio

	Voltage95 quantity.Volts   // 95 % of the samples are below
	Current   quantity.Amperes // mean
	RMS       quantity.Amperes // of the current
}
