package main

import (
	"arctally/cmd/internal/outbox"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
)

// listHanded shows where the records of a folder stand that serve hands over.
func listHanded(screen *terminal.Screen, folder string, asJSON bool) error {
	list, err := outbox.Look(folder)
	if err != nil {
		return err
	}
	if asJSON {
		return printJSON(screen, list)
	}
	if list.Store != "" {
		if err := screen.Printf("handed over into %s\n", list.Store); err != nil {
			return err
		}
	}
	for _, r := range list.Rows {
		if err := screen.Printf("%-30s %s\n", r.Record, r.Words(sheet.Minute)); err != nil {
			return err
		}
	}
	return nil
}
