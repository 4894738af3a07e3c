package paper

import (
	"strconv"
	"strings"

	"arctally/analyze/bore"
	"arctally/report/draw"
	"arctally/report/sheet"
)

// boreView is the pair of drawings that say where to inspect.
type boreView struct {
	End      draw.End
	Unrolled draw.Unrolled
	Shapes   []draw.ShapeKey
	Unplaced string // findings whose angle is not known
}

// newBoreView is nil where there is no bore: a bead on a plate has no angle.
func newBoreView(s *sheet.Sheet) *boreView {
	if s.Job.Deposit.Pattern == bore.Straight || s.Job.Bore.Length <= 0 {
		return nil
	}
	placed := draw.Placed(s)
	return &boreView{
		End: draw.NewEnd(s, placed), Unrolled: draw.NewUnrolled(s, placed), Shapes: draw.ShapeKeys(placed),
		Unplaced: unplaced(s),
	}
}

// unplaced names the others.
func unplaced(s *sheet.Sheet) string {
	var numbers []string
	for i := range s.Findings {
		if s.Findings[i].Place == nil {
			numbers = append(numbers, strconv.Itoa(s.Findings[i].Number))
		}
	}
	return unplacedText(numbers)
}

func unplacedText(numbers []string) string {
	switch len(numbers) {
	case 0:
		return ""
	case 1:
		return "finding " + numbers[0]
	default:
		return "findings " + strings.Join(numbers, ", ")
	}
}
