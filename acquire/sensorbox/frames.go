package sensorbox

import (
	"io"
	"math"

	"arctally/acquire/link"
	"arctally/acquire/series"
)

// frames writes what the box says as frames of the binary link.
type frames struct {
	w      io.Writer
	source series.Source
	seed   uint64
	part   Part
	stepUS uint16
	window int // samples in a window of sums; 0 sends the samples themselves

	id      uint16
	seq     uint32
	lost    bool
	written int
	buf     []byte

	sums       series.WindowSums
	sumsTick   int64
	wireCounts float64 // at the end of the last window
	us         []uint64
	counts     []int32
}

func (f *frames) boot(epoch int, fed float64) error {
	f.id, f.seq = bootID(f.seed, epoch), 0
	f.wireCounts = math.Floor(fed / wirePerCount)
	f.sums = series.WindowSums{}
	return nil
}

// bootID gives each boot of each box a number of its own.
func bootID(seed uint64, epoch int) uint16 { return uint16(seed*7919 + uint64(epoch) + 1) }

func (f *frames) lose(lost bool) { f.lost = lost }

func (f *frames) header(tick int64, stepUS uint16) link.Header {
	h := link.Header{Boot: f.id, Seq: f.seq, TickUS: uint64(tick / 1000), StepUS: stepUS}
	f.seq++
	return h
}

// send writes the frame in buf, unless frames are being lost.
func (f *frames) send() error {
	if f.lost {
		return nil
	}
	f.written++
	_, err := f.w.Write(f.buf)
	return err
}

func (f *frames) hello(tick int64) error {
	var err error
	if f.buf, err = link.AppendHello(f.buf[:0], f.header(tick, 0), f.source); err != nil {
		return err
	}
	return f.send()
}

func (f *frames) samples(tick int64, v, i []int16, fed float64) error {
	if f.part == BesidePart {
		return nil
	}
	if f.window > 0 {
		return f.sum(tick, v, i, fed)
	}
	f.buf = link.AppendSamples(f.buf[:0], f.header(tick, f.stepUS), v, i)
	return f.send()
}

// sum adds samples up to windows and sends each that is full.
func (f *frames) sum(tick int64, v, i []int16, fed float64) error {
	s := &f.sums
	if s.Count == 0 {
		f.sumsTick = tick
		*s = series.WindowSums{VMin: math.MaxInt16, VMax: math.MinInt16, IMin: math.MaxInt16, IMax: math.MinInt16}
	}
	for k := range v {
		s.Count++
		s.V += int64(v[k])
		s.I += int64(i[k])
		s.VI += int64(v[k]) * int64(i[k])
		s.VMin, s.VMax = min(s.VMin, v[k]), max(s.VMax, v[k])
		s.IMin, s.IMax = min(s.IMin, i[k]), max(s.IMax, i[k])
		if float64(i[k])*currentScale >= arcOnCurrent {
			s.ArcOn++
		}
	}
	if int(s.Count) < f.window {
		return nil
	}
	counts := math.Floor(fed / wirePerCount)
	s.WireCount = uint32(counts - f.wireCounts)
	f.wireCounts = counts
	f.buf = link.AppendSums(f.buf[:0], f.header(f.sumsTick, f.stepUS), *s)
	s.Count = 0
	return f.send()
}

func (f *frames) slow(tick int64, channel uint8, value float64) error {
	switch f.part {
	case ArcPart:
		return nil
	case BesidePart:
		channel -= arcChannels
	}
	f.buf = link.AppendSlow(f.buf[:0], f.header(tick, 0), []uint8{channel}, []float64{value})
	return f.send()
}

func (f *frames) turns(ticks, counts []int64, atMark bool) error {
	if f.part == BesidePart {
		return nil
	}
	for len(ticks) > 0 {
		n := min(len(ticks), link.MaxTurns)
		f.us, f.counts = f.us[:0], f.counts[:0]
		for k := range n {
			f.us = append(f.us, uint64(ticks[k]/1000))
			f.counts = append(f.counts, int32(counts[k]))
		}
		h := f.header(ticks[0], 0)
		h.AtMark = atMark && n == len(ticks)
		f.buf = link.AppendTurn(f.buf[:0], h, f.us, f.counts)
		if err := f.send(); err != nil {
			return err
		}
		ticks, counts = ticks[n:], counts[n:]
	}
	return nil
}
