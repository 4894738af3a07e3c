package paper

import (
	"fmt"

	"arctally/report/sheet"
)

// machiningViews are the measurements that stand; one that was corrected is named.
func machiningViews(s *sheet.Sheet) (views []sheet.MachiningView) {
	for k := range s.Book.Machinings {
		kept := &s.Book.Machinings[k]
		title := fmt.Sprintf("Entry %d, by %s, %s", kept.Number, kept.By, kept.At.UTC().Format(entryTime))
		if kept.CorrectedBy != 0 {
			views = append(views, sheet.MachiningView{Title: title, CleanedUp: fmt.Sprintf("Entry %d took the place of this one.", kept.CorrectedBy)})
			continue
		}
		views = append(views, s.MachiningView(title, kept.Machining))
	}
	return views
}
