//go:build linux

// The command compare measures two builds of the program beside each other, before and after
// a change, in turns on one machine, and prints one table. `make compare BEFORE=COMMIT` builds
// both and calls it.
//
// Everything is processor time, user and system together, of the process that is measured:
// how long something takes says more of what else the machine does. What a side is asked for
// it is asked for through its program as people start it; only what has no command of its
// own, such as bare decoding, goes through a rig that is compiled in the tree of each side.
// Each side reads records that its own writer wrote of the same signal.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// comparison is what is measured, and with what.
type comparison struct {
	folder string
	hours  []float64 // the lengths of the records, the shortest first
	rounds int
	reader string // the folder of the program that is neither of the two sides
	sides  [2]*side
	table  table
}

// parts are what can be measured, in the order of the table.
var parts = []struct {
	name    string
	measure func(*comparison, context.Context) error
}{
	{"signals", (*comparison).signals},
	{"line", (*comparison).line},
	{"judge", (*comparison).judging},
	{"windows", (*comparison).windows},
	{"viewers", (*comparison).viewers},
	{"memory", (*comparison).memory},
	{"others", (*comparison).others},
	{"elsewhere", (*comparison).elsewhere},
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "compare:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string) error {
	c := &comparison{}
	flags := flag.NewFlagSet("compare", flag.ContinueOnError)
	flags.StringVar(&c.folder, "folder", "", "the `FOLDER` with both sides: before/ and after/, each with arctally and rig; records are made there where they are missing")
	flags.StringVar(&c.reader, "reader", "report/export/reader", "the `FOLDER` of the program that is compared with too")
	flags.IntVar(&c.rounds, "rounds", 3, "measure so many `TIMES`, in turns")
	hours := flags.String("hours", "", "the lengths of the records in `HOURS`, with commas between them")
	only := flags.String("only", "", "measure only these `PARTS`, with commas between them")
	if err := flags.Parse(args); err != nil {
		return err
	}
	if err := c.setUp(*hours); err != nil {
		return err
	}
	for _, part := range parts {
		if *only != "" && !slices.Contains(strings.Split(*only, ","), part.name) {
			continue
		}
		if err := part.measure(c, ctx); err != nil {
			return errors.Join(fmt.Errorf("%s: %w", part.name, err), c.show())
		}
	}
	return c.show()
}

func (c *comparison) setUp(hours string) error {
	for text := range strings.SplitSeq(hours, ",") {
		h, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return fmt.Errorf("hours: %w", err)
		}
		c.hours = append(c.hours, h)
	}
	slices.Sort(c.hours)
	for k, name := range []string{"before", "after"} {
		folder, err := filepath.Abs(filepath.Join(c.folder, name))
		if err != nil {
			return err
		}
		c.sides[k] = &side{name: name, folder: folder}
		if _, err := os.Stat(c.sides[k].program()); err != nil {
			return err
		}
		if err := os.MkdirAll(c.sides[k].home(), 0o750); err != nil {
			return err
		}
	}
	return nil
}

// show prints the table, and keeps it as JSON.
func (c *comparison) show() error {
	text, err := json.MarshalIndent(c.table.rows, "", "  ")
	if err != nil {
		return err
	}
	file := filepath.Join(c.folder, "table.json")
	return errors.Join(c.table.print(os.Stdout), os.WriteFile(file, append(text, '\n'), 0o600))
}

// inTurns has each side do something so many times, one side after the other.
func (c *comparison) inTurns(do func(s *side, round int) error) error {
	for round := range c.rounds {
		for _, s := range c.sides {
			if err := do(s, round); err != nil {
				return fmt.Errorf("%s: %w", s.name, err)
			}
		}
	}
	return nil
}
