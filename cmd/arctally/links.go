package main

import (
	"context"
	"flag"
	"path/filepath"
	"sync"

	"arctally/acquire/port"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/links"
	"arctally/cmd/internal/terminal"
)

func linksCommand() command {
	return command{
		name:    "links",
		summary: "says who speaks on which serial port, by which link, and prints the sensors lines of a job file",
		example: "arctally links --for 10s",
		setUp:   linksAction,
	}
}

func linksAction(flags *flag.FlagSet) action {
	length := flags.Duration("for", links.DefaultFor, "listen to a box that speaks for this `DURATION`")
	folder := flags.String("in", "", "look for names of ports in `FOLDER`; left out, where this system has them")
	hear := flags.Bool("listen-only", false, "send nothing: do not ask for a Modbus slave where nobody speaks")
	asJSON := flags.Bool("json", false, "write JSON for programs")
	return func(ctx context.Context, screen *terminal.Screen, _ []string) error {
		bar := screen.Progress("listening")
		defer bar.Clear()
		var mu sync.Mutex
		o := links.Options{Places: port.System(), For: *length, Now: screen.Now, Progress: func(name, doing string) {
			mu.Lock()
			defer mu.Unlock()
			bar.ShowText(filepath.Base(name) + ": " + doing)
		}}
		if !*hear {
			o.Ask = links.AskModbus
		}
		if *folder != "" {
			whole, err := filepath.Abs(*folder) // a job file may be elsewhere
			if err != nil {
				return err
			}
			o.Places = port.In(whole)
		}
		found, err := links.Find(ctx, o)
		if err != nil {
			return err
		}
		bar.Clear()
		if *asJSON {
			return printJSON(screen, links.Report{Ports: found, Sensors: links.Sensors(found)})
		}
		if len(found) == 0 {
			return errNoPorts
		}
		return screen.Print(links.Text(found))
	}
}

// errNoPorts is what a person is told who has plugged nothing in.
var errNoPorts = &explain.Error{
	Kind: explain.NotThere, Text: "no serial port is there",
	Next: "plug in the sensor box, and check its cable and supply; " + port.Seen,
}
