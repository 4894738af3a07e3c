package main

import (
	"context"
	"flag"
	"strings"

	"arctally/acquire/foreign"
	"arctally/analyze/note"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
)

func noteCommand() command {
	return command{
		name:     "note",
		operands: "RECORD",
		summary:  "adds what a person measured or saw: a temperature, a gas flow, where the torch stands, a sentence",
		example:  `arctally note boom-pin.arctally --at 08:28 --temperature "180 degC" --by "Operator 1"`,
		setUp:    noteAction,
	}
}

// noteFlags are what is typed in.
type noteFlags struct {
	at, temperature, gasFlow, text, torchAt, by string
	endOfPass                                   bool
	sure                                        []string
}

func noteAction(flags *flag.FlagSet) action {
	var f noteFlags
	flags.StringVar(&f.at, "at", review.Now, "it held at this `TIME`: now, 08:28 or 08:28:30 on the day of the record, 2026-03-02T08:28:30Z (without a zone that of this machine); where the record knows no date, \"750.5 s\" on the clock of the source")
	flags.StringVar(&f.temperature, "temperature", "", "beside the weld, before a pass: `VALUE` with its unit, 180 degC")
	flags.StringVar(&f.gasFlow, "gas-flow", "", "set or measured, from then on: `VALUE` with its unit, 15 L/min")
	flags.StringVar(&f.text, "text", "", "a `SENTENCE` to keep")
	flags.StringVar(&f.torchAt, "torch-at", "", "the torch stood then at this `ANGLE` from the reference mark, clockwise seen from the torch side, with its unit: 90 deg; best said while it stands still")
	flags.BoolVar(&f.endOfPass, "end-of-pass", false, "the pass under way then is over, at the end of its arc interval: what was laid after it is another one")
	flags.Func("sure", "keep a `VALUE` outside of what is usual on purpose, as the refusal of it names it: \"temperature 900 degC\"; the record says so", func(said string) error {
		f.sure = append(f.sure, said)
		return nil
	})
	flags.StringVar(&f.by, "by", "", "the `NAME` of who measured or saw it")
	return func(_ context.Context, screen *terminal.Screen, operands []string) error {
		typed, err := f.notes()
		if err != nil {
			return err
		}
		notes, err := review.SureNotes(typed, f.sure)
		if err != nil {
			return err
		}
		moment, err := review.MomentOf(operands[0], f.at, screen.Now())
		if err != nil {
			return err
		}
		if err := review.AddNotes(operands[0], notes, moment); err != nil {
			return err
		}
		for _, n := range notes {
			if err := screen.Printf("kept: %s, %s, typed in by %s\n", n.Said(), moment.Words, n.By); err != nil {
				return err
			}
		}
		return nil
	}
}

// notes reads the values.
func (f noteFlags) notes() (notes []review.TypedNote, err error) {
	by := strings.TrimSpace(f.by)
	if by == "" {
		return nil, &explain.MisuseError{Command: "note", Text: "say who measured it: --by NAME"}
	}
	if err := foreign.Fits("--by", by, foreign.LongestName); err != nil {
		return nil, &explain.MisuseError{Command: "note", Text: err.Error()}
	}
	if f.temperature != "" {
		t, err := review.ReadTemperature(f.temperature)
		if err != nil {
			return nil, &explain.MisuseError{Command: "note", Text: "--temperature: " + err.Error()}
		}
		notes = append(notes, review.TypedNote{Note: note.Note{By: by, Temperature: t}, Value: f.temperature})
	}
	if f.gasFlow != "" {
		flow, err := review.ReadGasFlow(f.gasFlow)
		if err != nil {
			return nil, &explain.MisuseError{Command: "note", Text: "--gas-flow: " + err.Error()}
		}
		notes = append(notes, review.TypedNote{Note: note.Note{By: by, GasFlow: flow}, Value: f.gasFlow})
	}
	if f.text != "" {
		notes = append(notes, review.TypedNote{Note: note.Note{By: by, Text: f.text}})
	}
	if f.torchAt != "" {
		angle, err := review.ReadAngle(f.torchAt)
		if err != nil {
			return nil, &explain.MisuseError{Command: "note", Text: "--torch-at: " + err.Error()}
		}
		notes = append(notes, review.TypedNote{Note: note.Note{By: by, TorchAt: angle}, Value: f.torchAt})
	}
	if f.endOfPass {
		notes = append(notes, review.TypedNote{Note: note.Note{By: by, EndOfPass: true}})
	}
	if len(notes) == 0 {
		return nil, &explain.MisuseError{Command: "note", Text: "say what to keep: --temperature, --gas-flow, --text, --torch-at or --end-of-pass"}
	}
	return notes, nil
}
