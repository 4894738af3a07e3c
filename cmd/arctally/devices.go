package main

import (
	"context"
	"flag"
	"fmt"
	"strings"

	"arctally/cmd/internal/door"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/sealing"
	"arctally/cmd/internal/terminal"
)

func devicesCommand() command {
	return command{
		name:    "devices",
		summary: "shows the tablets that may reach the pages of this machine, and shuts them out",
		example: `arctally devices --revoke "Tablet 1"`,
		setUp: func(flags *flag.FlagSet) action {
			revoke := flags.String("revoke", "", "shut out the device of this `NAME`, at once; a program that serves the pages sees it within a second")
			return func(_ context.Context, screen *terminal.Screen, _ []string) error {
				folder := sealing.Folder()
				if folder == "" {
					return &explain.Error{Kind: explain.NotThere, Text: "devices: there is no folder for them", Next: "set HOME"}
				}
				if *revoke != "" {
					if err := door.ShutOut(folder, *revoke, screen.Now()); err != nil {
						return err
					}
					screen.Tell("shut out: %q", *revoke)
				}
				return showDevices(screen, folder)
			}
		},
	}
}

func showDevices(screen *terminal.Screen, folder string) error {
	all, err := door.Listed(folder, screen.Now())
	if err != nil {
		return err
	}
	if len(all) == 0 {
		screen.Tell("no device is paired; arctally serve --listen :8470 shows a code that lets one in")
		return nil
	}
	var b strings.Builder
	for _, one := range all {
		fmt.Fprintf(&b, "%-40s %-8s until %s\n", one.Name, one.Role, one.Expires.Local().Format("2006-01-02 15:04"))
	}
	return screen.Print(b.String())
}
