package main

import (
	"context"
	"flag"
	"fmt"
	"net"
	"slices"
	"strings"

	"arctally/cmd/internal/terminal"
	"arctally/cmd/internal/virtualbox"
	"arctally/cmd/internal/workshop"
	"arctally/report/page"
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
			"  The pages are for this machine alone, until --listen :8470 opens them to tablets: then all that goes over the network is\n" +
			"  encrypted, and a tablet comes in once it was paired with a code that stands here. What it may do is its role: look; operate,\n" +
			"  which starts, stops and notes; inspect, which decides on what was found; manage, which does everything. Caution: who is let\n" +
			"  in sees all of the folder, and who sits at this machine needs no code. Recordings go on when a page is closed; Ctrl-C ends\n" +
			"  them, and what was recorded is kept.",
		setUp: serveAction,
	}
}

func serveAction(flags *flag.FlagSet) action {
	var o workshop.Options
	var box virtualbox.Options
	o.Door.Role = page.Operate
	flags.StringVar(&o.Listen, "listen", defaultListen, "serve the pages at `ADDRESS`; a tablet needs :8470")
	flags.Func("host", "answer also when this machine is called `NAME`; may stand again", func(name string) error {
		o.Hosts = append(o.Hosts, name)
		return nil
	})
	flags.StringVar(&o.Door.Certificate, "certificate", "", "on the network, show the certificate in this `FILE`, with those that vouch for it, and not one of this machine's own authority")
	flags.StringVar(&o.Door.Key, "key", "", "the key of that certificate is in this `FILE`")
	flags.BoolVar(&o.Door.NewAuthority, "new-authority", false, "make another authority for this machine; every tablet has to fetch it then")
	flags.Func("pair", "show a code first that lets one device in to do this: `ROLE` look, operate, inspect, manage or none; left out, operate", func(role string) error {
		if o.Door.Role = page.Role(role); role == "none" {
			o.Door.Role = page.Stranger
			return nil
		}
		if !slices.Contains(page.Roles, o.Door.Role) {
			return fmt.Errorf("there is no role %q", role)
		}
		return nil
	})
	flags.StringVar(&o.HandOver, "hand-over", "", "hand closed records over into this `STORE` by itself, while nobody records: a folder, or s3://BUCKET/PREFIX; see hand-over --help")
	flags.StringVar(&o.Fleet, "all-jobs", "", "answer the page All jobs from this `DATABASE`, and take nothing in: postgres://USER@HOST:PORT/NAME, or a file or folder; left out, from one of this folder")
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
