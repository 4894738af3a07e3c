package paper

import (
	"fmt"

	"arctally/analyze/bore"
	"arctally/report/sheet"
)

// cleanView says whether the bore will clean up.
type cleanView struct {
	Answer   string
	Places   []mapPlaces
	Cautions []string
}

// mapPlaces is a list of places under its head.
type mapPlaces struct {
	Head  string
	Lines []string
}

func placesUnder(list []mapPlaces, head string, lines []string) []mapPlaces {
	if len(lines) == 0 {
		return list
	}
	if n := len(lines); n > sheet.PatchesShown {
		lines = append(lines[:sheet.PatchesShown:sheet.PatchesShown], fmt.Sprintf("and at %d more places; all are in the JSON of the map", n-sheet.PatchesShown))
	}
	return append(list, mapPlaces{head, lines})
}

// newCleanView is nil where there is no map.
func newCleanView(s *sheet.Sheet) *cleanView {
	if s.Wall == nil {
		return nil
	}
	clean := s.Wall.CleanUp(s.Wall.NewAllowance(bore.DefaultEccentricity))
	answer, missing, unseen := sheet.CleanUpLines(clean, s.Units)
	return &cleanView{
		Answer: answer, Places: placesUnder(placesUnder(nil, sheet.ShortHead, missing), sheet.UnseenHead, unseen),
		Cautions: sheet.MapCautions(s.Wall, clean, s.Units),
	}
}
