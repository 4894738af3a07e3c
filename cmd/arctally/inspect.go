package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"

	"arctally/analyze/inspect"
	"arctally/report/sheet"
	"arctally/report/text"
)

func inspectCommand() command {
	return command{
		name:     "inspect",
		operands: "RECORD [key=value...]",
		summary:  "puts on record what was found at a finding, and the bore after machining",
		example: `arctally inspect boom-pin.arctally finding=1 method=visual result="no indication" decision=accept by="Inspector 1"` +
			"\n\nKeys:\n" + inspectUsage(),
		findings: true,
		setUp:    inspectAction,
	}
}

// inspectUsage is the list of keys in the help.
func inspectUsage() string {
	return "  Without key=value it shows the findings, how each stands, and the entries.\n" +
		"  " + dispositionKeys.usage() + "\n" +
		"        method: " + words(inspect.Methods) + "\n" +
		"        result: " + words(inspect.Results) + "\n" +
		"        decision: " + words(inspect.Decisions) + "\n" +
		"        of-entry=3: about the finding that entry 3 is about, in place of finding=\n" +
		"  machining " + machiningKeys.usage() + "\n" +
		"        station=10mm,0deg,90.02mm: depth, angle and diameter; wanted=90.00..90.05mm; uncertainty with k = 2\n" +
		"        cleaned-up: " + words(inspect.CleanUps) + "\n" +
		"  An entry is never changed: corrects=3 puts another one in the place of entry 3, and both stay.\n" +
		"  A photograph has up to 16 MiB; caption= goes with the photograph in the same place."
}

func inspectAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *screen, operands []string) error {
		file, pairs := operands[0], operands[1:]
		if len(pairs) > 0 {
			return options.keep(ctx, screen, file, pairs, *asJSON)
		}
		return options.judging(ctx, screen, file, func(r *review) error {
			if *asJSON {
				return r.sheet().FindingsJSON(screen.out)
			}
			return buffered(screen.out, func(w io.Writer) error { return showInspection(w, r.sheet(), options.units()) })
		})
	}
}

func showInspection(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	return errors.Join(text.Findings(w, s, u), gapLine(w), text.Entries(w, s, u))
}

// keep puts what stood on the line on record, and says how the findings stand then.
func (f *reviewFlags) keep(ctx context.Context, screen *screen, file string, pairs []string, asJSON bool) error {
	var r *review
	var e inspect.Entry
	var pictures []picture
	err := f.with(ctx, screen, file, func(read *review) (err error) {
		r = read
		e, pictures, err = r.readInspection(pairs)
		return err
	})
	if err != nil {
		return err
	}
	e.At = screen.now().UTC()
	if e, err = amendEntry(file, r.entries, e, pictures); err != nil {
		return err
	}
	r.entries = append(r.entries, e)
	r.book = inspect.Fold(r.entries, r.result.Findings)
	if asJSON {
		err = r.sheet().FindingsJSON(screen.out)
	} else {
		err = screen.print(fmt.Sprintf("kept: entry %d, %s, by %s\nopen findings: %d\n", e.Number, e.Kind(), e.By, r.book.Open()))
	}
	if err == nil && r.book.Open() > 0 {
		return errFindingsOpen
	}
	return err
}
