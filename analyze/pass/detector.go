package pass

import (
	"arctally/acquire/series"
	"arctally/analyze/arc"
	"arctally/analyze/tape"
	"arctally/analyze/waveform"
)

// detector tells what the arc does, and answers what it has come to: from samples, or from
// a tape on which both was written once before. Whoever adds a question has it written too.
type detector interface {
	WhileOut(tell func(arc.Idle))
	Source(src series.Source)
	Take(x []arc.Sample) int
	SkipCold(x []arc.Sample, until int64) int
	Window(w arc.Window)
	WireSpeed(speed float64)
	Flush()
	Finish()

	Restart(with arc.Sums)
	Sums() arc.Sums
	ArcTime() int64
	Keep()
	Kept() arc.Sums
	MarkWave() *waveform.Mark
	EndWave(at *waveform.Mark) *waveform.Statistics

	Newest() (tick int64, seen bool)
	Open() bool
	Lit() bool
	Last() int64
	Missing() int64
	Skipped() int64
}

// Tape has a splitter, which has heard nothing yet, write on a tape what its detector tells
// and answers. It returns who is to be told what the codes of the samples are worth. WhileOut
// comes after it.
func (s *Splitter) Tape(to tape.Writer) *arc.Taped {
	taped := arc.NewTaped(s.arc.(*arc.Detector), to)
	s.arc = taped
	return taped
}

// Play has a splitter, which has heard nothing yet, hear a tape in place of samples. WhileOut
// comes after it.
func (s *Splitter) Play(from tape.Reader) *arc.Player {
	player := arc.NewPlayer(from, s.hear)
	s.arc = player
	return player
}
