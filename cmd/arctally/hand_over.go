package main

import (
	"context"
	"flag"
	"os"

	"arctally/cmd/internal/bundling"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/terminal"
	"arctally/report/handover"
)

func handOverCommand() command {
	return command{
		name:     "hand-over",
		operands: "RECORD",
		summary:  "hands a closed record over, with its papers and results, into a folder or an object store",
		example: "arctally hand-over boom-pin.arctally -o /mnt/share/repairs\n  arctally hand-over boom-pin.arctally -o s3://repairs/shop-1\n  arctally hand-over --list ~/jobs\n  arctally hand-over --remove boom-pin.arctally -o s3://repairs/shop-1\n\n" +
			"  An object store is reached by AWS_ENDPOINT_URL, AWS_REGION, AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY in the environment.\n" +
			"  Nothing in a store is written over, handing over twice is nothing, and one that was cut off goes on where it stopped.\n" +
			"  --remove gives nothing: it removes the record here once the store has given back every file of its bundle with the right SHA-256.",
		setUp: handOverAction,
	}
}

func handOverAction(flags *flag.FlagSet) action {
	to := flags.String("o", "", "into this `STORE`: a folder, or s3://BUCKET/PREFIX")
	list := flags.Bool("list", false, "show in place of it what serve --hand-over has given of the FOLDER of jobs in the place of RECORD, and what waits")
	remove := flags.Bool("remove", false, "in place of it remove RECORD here, if STORE has all of it: its bundle is read back, and the record in it must be the one here")
	try := flags.Bool("try", false, "with --remove: find out whether the record may go, and leave it")
	asJSON := flags.Bool("json", false, "print JSON for programs")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		switch {
		case *list && *remove:
			return &explain.MisuseError{Command: "hand-over", Text: "--list shows what was given, and removes nothing: leave one of them out"}
		case *try && !*remove:
			return &explain.MisuseError{Command: "hand-over", Text: "--try tries --remove, and nothing else"}
		case *list && *to != "":
			return &explain.MisuseError{Command: "hand-over", Text: "--list shows what was given, and gives nothing: leave -o out"}
		case *list:
			return listHanded(screen, operands[0], *asJSON)
		case *to == "":
			return &explain.MisuseError{Command: "hand-over", Text: "into which store? -o FOLDER or -o s3://BUCKET/PREFIX"}
		case *remove:
			return removeHanded(ctx, screen, operands[0], *to, *try, *asJSON)
		}
		return handOver(ctx, screen, operands[0], *to, *asJSON)
	}
}

// handedJSON is what came of it, for programs.
type handedJSON struct {
	Bundle string `json:"bundle"` // its digest
	Store  string `json:"store"`
	Files  int    `json:"files_written"`
	Bytes  int64  `json:"bytes_written"`
	Before bool   `json:"was_there"`
}

func handOver(ctx context.Context, screen *terminal.Screen, file, to string, asJSON bool) error {
	store, err := handover.Open(to)
	if err != nil {
		return err
	}
	bar := screen.Progress("handing over " + file)
	defer bar.Clear()
	handed, err := bundling.Hand(ctx, file, store, os.TempDir(), bar.ShowText)
	if err != nil {
		return err
	}
	bar.Clear()
	if asJSON {
		return printJSON(screen, handedJSON{handed.Digest, to, handed.Wrote, handed.Bytes, handed.Before})
	}
	if handed.Before {
		err = screen.Printf("%s: handed over before: the store has all of bundle %s\n", file, handed.Digest)
	} else {
		err = screen.Printf("%s: handed over: bundle %s, %d files written (%.1f MB)\n", file, handed.Digest, handed.Wrote, float64(handed.Bytes)/1e6)
	}
	screen.Tell("hint: arctally take %s/%s", store, handed.Digest)
	return err
}
