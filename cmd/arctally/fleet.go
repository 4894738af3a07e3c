package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/terminal"
	"arctally/report/fleet"
)

func fleetCommand() command {
	return command{
		name:     "fleet",
		operands: "take-in|ask|show [SOURCE|QUESTION...]",
		summary:  "takes the results of many records into a database, and answers questions about all of them",
		example:  "arctally fleet take-in ~/jobs; arctally fleet ask heat-input --by box",
		status3:  "done, and somebody has to look: events are open, passes not proved, calibrations run out",
		setUp:    fleetAction,
	}
}

// fleetFlags are those of both verbs.
type fleetFlags struct {
	database, by, now string
	output, at        string
	within, most      int
	asJSON            bool
}

func fleetAction(flags *flag.FlagSet) action {
	wanted := new(fleetFlags)
	const database = "the `DATABASE`: postgres://USER@HOST:PORT/NAME, or a file or folder; left out, a file in the user's cache folder"
	flags.StringVar(&wanted.database, "into", "", "take-in: "+database)
	flags.StringVar(&wanted.database, "from", "", "ask and show: "+database)
	flags.StringVar(&wanted.output, "o", "", "show: write all answers as one page, with the charts drawn, into `FILE`.html")
	flags.StringVar(&wanted.at, "at", "", "show: the `ADDRESS` of the serve that has the records, https://HOST:PORT/, which the numbers lead to")
	flags.StringVar(&wanted.by, "by", string(fleet.ByProcedure), "heat-input, arc-on and show: draw the charts by `SIDE`: procedure, box, operator or layer")
	flags.StringVar(&wanted.now, "now", "", "calibrations and show: ask for the `DAY`, 2026-05-04; left out, today")
	flags.IntVar(&wanted.within, "within", 60, "calibrations and show: that run out within so many `DAYS`")
	flags.IntVar(&wanted.most, "most", 20, "ask and show: tell at most `N` lines; how many there are is always told")
	flags.BoolVar(&wanted.asJSON, "json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		switch verb, rest := operands[0], operands[1:]; verb {
		case "take-in":
			return wanted.takeIn(ctx, screen, rest)
		case "ask":
			return wanted.ask(ctx, screen, rest)
		case "show":
			return wanted.show(ctx, screen, rest)
		default:
			return fleetMisuse("fleet does take-in, ask or show, not %q", verb)
		}
	}
}

func fleetMisuse(format string, values ...any) error {
	return &explain.MisuseError{Command: "fleet", Text: fmt.Sprintf(format, values...)}
}

// place is the database that was named, or the file of the user.
func (f *fleetFlags) place() (string, error) {
	if f.database != "" {
		return f.database, nil
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		return "", &explain.Error{Kind: explain.Failure, Text: "there is no cache folder for a database", Next: "name one: --into FILE, --from FILE", Cause: err}
	}
	folder := filepath.Join(cache, "arctally")
	return filepath.Join(folder, fleet.FileName), os.MkdirAll(folder, 0o755)
}

// side is what charts are drawn by.
func (f *fleetFlags) side() (fleet.Side, error) {
	if side := fleet.Side(f.by); slices.Contains(fleet.Sides(), side) {
		return side, nil
	}
	return "", fleetMisuse("charts are drawn by procedure, box, operator or layer, not by %q", f.by)
}

// momentOf reads a day, which begins here at midnight, or a moment.
func momentOf(text string) (time.Time, error) {
	if at, err := time.Parse(time.RFC3339Nano, text); err == nil {
		return at, nil
	}
	at, err := time.ParseInLocation(time.DateOnly, strings.TrimSpace(text), time.Local)
	if err != nil {
		return at, fleetMisuse("%q is no day (2026-05-04) and no moment (2026-05-04T14:30:00Z)", text)
	}
	return at, nil
}
