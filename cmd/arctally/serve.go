package main

import (
	"context"
	"flag"
	"net"
	"strings"

	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/cmd/internal/workshop"
)

const (
	defaultListen = "127.0.0.1:8470"
	demoSpeed     = 10
)

func serveCommand() command {
	return command{
		name:     "serve",
		operands: "[FOLDER]",
		summary:  "records, shows and reviews the jobs of a folder in a browser, on this machine or a tablet",
		example: "arctally serve --demo demo\n  arctally serve --listen :8470 ~/jobs\n\n" +
			"  The pages are for this machine alone, until --listen :8470 opens them to a tablet: then anybody on that network can see and\n" +
			"  add to everything in the folder, and nothing is encrypted. Keep it on the tablet's own network. Recordings go on when a page\n" +
			"  is closed; Ctrl-C ends them, and what was recorded is kept.",
		setUp: serveAction,
	}
}

func serveAction(flags *flag.FlagSet) action {
	var o workshop.Options
	var box virtualbox.Options
	flags.StringVar(&o.Listen, "listen", defaultListen, "serve the pages at `ADDRESS`; a tablet needs :8470")
	flags.Func("host", "answer also when this machine is called `NAME`; may stand again", func(name string) error {
		o.Hosts = append(o.Hosts, name)
		return nil
	})
	demo := flags.Bool("demo", false, "a virtual sensor box stands in for a real one; an empty folder gets a job to lay")
	flags.Float64Var(&box.Speed, "speed", demoSpeed, "with --demo: lay `SECONDS` of the repair in one second")
	flags.IntVar(&box.Layers, "layers", virtualbox.PlannedLayers, "with --demo: lay so many `LAYERS`; left out, as many as the plan of the job says")
	flags.StringVar(&box.Faults, "faults", virtualbox.DefaultFaults, "with --demo: let these `NAMES` go wrong, or none: "+strings.Join(virtualbox.FaultNames(), ", "))
	flags.BoolVar(&box.Beside, "beside", false, "with --demo: a second box beside the arc measures wire speed, gas flow and temperature")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		name := "."
		if len(operands) > 0 {
			name = operands[0]
		}
		if *demo {
			o.Box = &box
		}
		return o.Serve(ctx, screen, name, func(net.Addr) {})
	}
}
