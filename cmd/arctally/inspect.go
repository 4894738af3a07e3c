package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"

	"arctally/analyze/inspect"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
	"arctally/report/text"
)

func inspectCommand() command {
	return command{
		name:     "inspect",
		operands: "RECORD [key=value...]",
		summary:  "puts on record what was found at a finding, and the bore after machining",
		example: `arctally inspect boom-pin.arctally finding=1 method=visual result="no indication" decision=accept by="Inspector 1"` +
			"\n\nKeys:\n" + review.InspectionUsage(),
		findings: true,
		setUp:    inspectAction,
	}
}

func inspectAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	asJSON := flags.Bool("json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		file, pairs := operands[0], operands[1:]
		if len(pairs) > 0 {
			return options.keep(ctx, screen, file, pairs, *asJSON)
		}
		return options.judging(ctx, screen, file, func(r *review.Review) error {
			if *asJSON {
				return r.Sheet().FindingsJSON(screen.Out)
			}
			return files.Buffered(screen.Out, func(w io.Writer) error { return showInspection(w, r.Sheet(), options.units(&r.Sheet().Job)) })
		})
	}
}

func showInspection(w io.Writer, s *sheet.Sheet, u sheet.Units) error {
	return errors.Join(text.Findings(w, s, u), gapLine(w), text.Entries(w, s, u))
}

// keep puts what stood on the line on record, and says how the findings stand then.
func (f *reviewFlags) keep(ctx context.Context, screen *terminal.Screen, file string, pairs []string, asJSON bool) error {
	var r *review.Review
	var act []inspect.Entry
	var pictures []review.Picture
	err := f.with(ctx, screen, file, func(read *review.Review) (err error) {
		r = read
		act, pictures, err = r.ReadInspection(pairs)
		return err
	})
	if err != nil {
		return err
	}
	at := screen.Now().UTC()
	for k := range act {
		act[k].At = at
	}
	if act, err = review.AmendEntries(ctx, file, r.Entries, act, pictures); err != nil {
		return err
	}
	r.Entries = append(r.Entries, act...)
	r.Book = inspect.Fold(r.Entries, r.Result.Findings)
	if asJSON {
		err = r.Sheet().FindingsJSON(screen.Out)
	} else {
		err = screen.Printf("%s\nopen events: %d\nopen findings: %d\n", keptText(act), r.Book.OpenEvents(), r.Book.Open())
	}
	if err == nil && r.Book.Open() > 0 {
		return explain.ErrFindingsOpen
	}
	return err
}

// keptText says what is on record now.
func keptText(act []inspect.Entry) string {
	first, last := &act[0], &act[len(act)-1]
	if first == last {
		return fmt.Sprintf("kept: entry %d, %s, by %s", first.Number, first.Kind(), first.Who())
	}
	return fmt.Sprintf("kept: entries %d to %d, %s of an event with %d findings, by %s", first.Number, last.Number, first.Kind(), len(act), first.Who())
}
