package main

import (
	"context"
	"encoding/json"
	"errors"
	"time"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/gather"
	"arctally/cmd/internal/terminal"
	"arctally/report/fleet"
)

// takenIn is the object of "fleet take-in --json".
type takenIn struct {
	Database string          `json:"database"`
	States   []fleet.TakenIn `json:"states"`
	Refused  []string        `json:"refused"`
}

// outcomeWords say what became of what was taken in.
var outcomeWords = map[fleet.Outcome]string{
	fleet.New: "new", fleet.WentOn: "went on, and takes the place of its older state", fleet.Older: "an older state: kept, a newer one stands in the questions",
	fleet.Apart: "another state of a record that is as long as the one there: kept, the one there stands in the questions", fleet.Already: "there already",
}

func (f *fleetFlags) takeIn(ctx context.Context, screen *terminal.Screen, sources []string) (err error) {
	if len(sources) == 0 {
		return fleetMisuse("take-in takes SOURCE, a folder of records or of bundles or s3://BUCKET/PREFIX, but got no operand")
	}
	place, err := f.place()
	if err != nil {
		return err
	}
	into, err := fleet.Open(ctx, place)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, into.Close()) }()
	told := takenIn{Database: into.Name(), States: []fleet.TakenIn{}, Refused: []string{}}
	bar := screen.Progress("reading")
	g := gather.Gathering{
		Into: into, Now: time.Now,
		Reading: func(name string, _ float64) { bar.ShowText(name) },
		Done:    func(one fleet.TakenIn) { told.States = append(told.States, one) },
		Refused: func(_ string, err error) {
			bar.Clear()
			told.Refused = append(told.Refused, err.Error())
			screen.Tell("arctally: %v", err)
			if hint := explain.Of(err).Hint; hint != "" {
				screen.Tell("hint: %s", hint)
			}
		},
	}
	err = g.Take(ctx, sources)
	bar.Clear()
	return errors.Join(f.tellTakenIn(screen, told), err)
}

func (f *fleetFlags) tellTakenIn(screen *terminal.Screen, told takenIn) error {
	if f.asJSON {
		e := json.NewEncoder(screen.Out)
		e.SetIndent("", "  ")
		return e.Encode(told)
	}
	for _, one := range told.States {
		if err := screen.Printf("%s: %s\n", one.Record, outcomeWords[one.Outcome]); err != nil {
			return err
		}
	}
	return screen.Printf("taken in: %d, into %s\n", len(told.States), told.Database)
}
