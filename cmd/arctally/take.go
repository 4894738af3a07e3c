package main

import (
	"context"
	"flag"
	"strings"

	"arctally/cmd/internal/bundling"
	"arctally/cmd/internal/terminal"
)

func takeCommand() command {
	return command{
		name:     "take",
		operands: "BUNDLE",
		summary:  "takes a bundle that was handed over out of its store, whole and verified, to be reviewed here",
		example: "arctally take /mnt/share/repairs/DIGEST -o repairs\n  arctally take s3://repairs/shop-1/DIGEST\n\n" +
			"  A bundle is named by its digest, the head of its record's chain. Every file is held against the manifest, and the record is\n" +
			"  verified; what is not as it was handed over is not taken.",
		setUp: takeAction,
	}
}

// takenJSON is what was taken, for programs.
type takenJSON struct {
	Bundle   string   `json:"bundle"` // its digest
	Job      string   `json:"job"`
	Folder   string   `json:"folder"`
	Record   string   `json:"record"`
	Files    int      `json:"files"`
	Passes   int      `json:"passes"` // as it was judged when it was handed over
	Findings int      `json:"findings"`
	Says     []string `json:"says"` // of who sealed it
}

func takeAction(flags *flag.FlagSet) action {
	into := flags.String("o", ".", "put it into `FOLDER`, under its digest; left out, here")
	asJSON := flags.Bool("json", false, "print JSON for programs")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		bar := screen.Progress("taking " + operands[0])
		defer bar.Clear()
		t, err := bundling.Take(ctx, operands[0], *into, bar.ShowText)
		if err != nil {
			return err
		}
		bar.Clear()
		says := append([]string{"the record is whole"}, t.Sealing.Says(nil, false)...)
		if *asJSON {
			return printJSON(screen, takenJSON{t.Digest, t.Job, t.Folder, t.Record, len(t.Files), t.Results.Passes, t.Results.Findings, says})
		}
		err = screen.Printf("%s: %s\n  judged as it was handed over: passes: %d, findings: %d\n", t.Folder, t.Job, t.Results.Passes, t.Results.Findings)
		if err == nil {
			err = screen.Print("  " + strings.Join(lines(says), "\n  ") + "\n")
		}
		screen.Tell("hint: arctally findings %s, or arctally serve %s to review it on the pages", t.Record, t.Folder)
		return err
	}
}
