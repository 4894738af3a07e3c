package record

import "arctally/acquire/series"

// stand is where the writing of one box stands. Each box fills a group of its own, so
// that what several of them say in turn does not make many small ones.
type stand struct {
	box       int
	open      *group // being filled
	source    series.Source
	hasSource bool
	epoch     int   // of the last block
	tick      int64 // of the last sample
	hasTick   bool
	breakNext [laneCount]bool

	// Of a companion: its description is written when it is known for which epoch.
	introduced   int  // the epoch of its newest row, plus one; 0 is none
	hasSomething bool // to say of itself since then
}

// arc is the stand of the box that tells the arc, to which all belongs that no box says.
func (w *Writer) arc() *stand { return w.stand(0) }

// stand returns that of a box.
func (w *Writer) stand(box int) *stand {
	for len(w.stands) <= box {
		s := &stand{box: len(w.stands), open: w.empty(len(w.stands)), source: series.Source{Box: len(w.stands)}}
		for k := range s.breakNext {
			s.breakNext[k] = w.resumed
		}
		w.stands = append(w.stands, s)
	}
	return w.stands[box]
}

// introduce puts the description of a companion before the first thing of an epoch, and
// again where it changes: by these rows an epoch is known to be that of the box.
func (w *Writer) introduce(s *stand, epoch int, tick int64) error {
	if s.box == 0 || s.introduced == epoch+1 && !s.hasSomething {
		return nil
	}
	if err := w.room(costOfRow); err != nil {
		return err
	}
	w.cut(s)
	source := s.source
	s.open.source, s.open.epoch, s.open.tick = &source, epoch, tick
	s.introduced, s.hasSomething = epoch+1, false
	w.takeEpoch(epoch)
	w.charge(s, costOfRow)
	return nil
}

// takeEpoch says that something has an epoch.
func (w *Writer) takeEpoch(epoch int) { w.next = max(w.next, epoch+1) }

// NextEpoch returns the number of the first epoch that nothing in the record has.
// Whoever goes on with a record numbers its epochs from there.
func (w *Writer) NextEpoch() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.next
}
