package main

import (
	"context"

	"arctally/cmd/internal/bundling"
	"arctally/cmd/internal/terminal"
	"arctally/report/handover"
)

// removedJSON is what was removed, for programs; of a trial, what would have been.
type removedJSON struct {
	bundling.Removed
	Done bool   `json:"removed"`
	Take string `json:"take_back"` // the command that does
}

// removeHanded removes a record here that a store has.
func removeHanded(ctx context.Context, screen *terminal.Screen, file, from string, try, asJSON bool) error {
	store, err := handover.Open(from)
	if err != nil {
		return err
	}
	bar := screen.Progress("removing " + file)
	defer bar.Clear()
	gone, err := bundling.Remove(ctx, bundling.Removing{File: file, From: store, Try: try, Now: screen.Now, Told: bar.ShowText})
	if err != nil {
		return err
	}
	bar.Clear()
	take := "arctally take " + gone.Place()
	if asJSON {
		return printJSON(screen, removedJSON{gone, !try, take})
	}
	what := "removed here"
	if try {
		what = "would be removed here, and is still there"
	}
	err = screen.Printf("%s: %s (%.1f MB)\n  in its place is bundle %s\n  in %s: %d files, read back just now, each with the SHA-256 that it should have\n",
		file, what, float64(gone.Bytes)/1e6, gone.Bundle, gone.Store, gone.Files)
	screen.Tell("hint: %s brings it back", take)
	return err
}
