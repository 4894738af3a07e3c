package review

import (
	"math"

	"arctally/analyze/finding"
	"arctally/cmd/internal/shelf"
)

// The means that were held against the limits are put away sheet by sheet while a record is
// judged: those of two days would fill more memory than all else.

// sheetOf tells where a sheet of means is, and of which time.
type sheetOf struct {
	place       int64 // in the file
	epoch       [2]int
	first, last int64 // lowest and highest tick
}

// putAway writes sheets into a file of pieces.
type putAway struct {
	draft  *shelf.Draft
	sheets []sheetOf
}

// newPutAway begins the file of the means of a judgement.
func newPutAway(s *shelf.Shelf, on restsOn) *putAway {
	return &putAway{draft: s.Draft(on.of(s, theMeans), math.MaxInt64), sheets: []sheetOf{}}
}

// restart begins it anew.
func (p *putAway) restart() {
	p.draft.Restart()
	p.sheets = p.sheets[:0]
}

// put puts a sheet away.
func (p *putAway) put(sheet []finding.JudgedMeans) {
	if len(sheet) == 0 {
		return
	}
	of := sheetOf{place: p.draft.Size(), epoch: [2]int{math.MaxInt, math.MinInt}, first: math.MaxInt64, last: math.MinInt64}
	for k := range sheet {
		m := &sheet[k]
		of.epoch = [2]int{min(of.epoch[0], m.Epoch), max(of.epoch[1], m.Epoch)}
		of.first, of.last = min(of.first, m.Tick), max(of.last, m.Tick)
	}
	p.sheets = append(p.sheets, of)
	p.draft.Piece(shelf.Pack(&sheet))
}

// sheetsDuring reads the sheets that have means of a time; false where the file has gone or
// is damaged. It closes the file.
func sheetsDuring(file *shelf.Pieces, sheets []sheetOf, epoch int, from, until int64) (judged *finding.Judged, sound bool) {
	if file == nil {
		return nil, false
	}
	defer file.Close()
	judged = new(finding.Judged)
	for number, of := range sheets {
		if epoch < of.epoch[0] || epoch > of.epoch[1] || until <= of.first || from > of.last {
			continue
		}
		var sheet []finding.JudgedMeans
		if packed, sound := file.At(number, of.place); !sound || shelf.Unpack(packed, &sheet) != nil {
			return nil, false
		}
		judged.PutSheet(sheet)
	}
	return judged, true
}
