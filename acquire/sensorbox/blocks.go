package sensorbox

import "arctally/acquire/series"

// blocks hands on what the box says as blocks, as if a link had carried them.
type blocks struct {
	yield  func(*series.Block) error
	step   int64
	epoch  int
	lost   bool
	broken bool // the next samples do not follow the last
	block  series.Block
}

func (b *blocks) boot(epoch int, _ float64) error {
	b.epoch, b.broken = epoch, true
	return nil
}

func (b *blocks) lose(lost bool) { b.lost = lost }

func (b *blocks) hello(int64) error { return nil }

func (b *blocks) send(kind series.Kind, tick, step int64) error {
	b.block.Kind, b.block.Epoch, b.block.Tick, b.block.Step = kind, b.epoch, tick, step
	return b.yield(&b.block)
}

func (b *blocks) samples(tick int64, v, i []int16, _ float64) error {
	if b.lost {
		b.broken = true
		return nil
	}
	b.block = series.Block{V: b.block.V[:0], I: b.block.I[:0], Break: b.broken}
	b.broken = false
	for k := range v {
		b.block.V = append(b.block.V, int32(v[k]))
		b.block.I = append(b.block.I, int32(i[k]))
	}
	return b.send(series.Arc, tick, b.step)
}

func (b *blocks) slow(tick int64, channel uint8, value float64) error {
	if b.lost {
		return nil
	}
	slow := series.Block{Kind: series.Slow, Epoch: b.epoch, Tick: tick, Channel: []uint8{channel}, Value: []float64{value}}
	return b.yield(&slow)
}

func (b *blocks) turns(ticks, counts []int64, atMark bool) error {
	if b.lost {
		return nil
	}
	turn := series.Block{Kind: series.Turn, Epoch: b.epoch, Tick: ticks[0], Ticks: ticks, Count: counts, AtMark: atMark}
	return b.yield(&turn)
}
