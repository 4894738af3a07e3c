// Command arctally records what a welding arc did in a bore, judges it against
// the qualified procedure, and says where in the bore to look. This package only
// wires rooms together: each command is one short file, and all that it knows by
// itself is how to talk to the person at the terminal.
//
// What the terminal sees. Results go to standard output, everything else to
// standard error: progress, warnings, and errors as two lines, "arctally: " and
// what is wrong, "hint: " and what to do next. Messages have no capital and no
// full stop. A finding is not an error: it is the exit status 3.
package main

import (
	"context"
	"io"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"

	"arctally/acquire/seal"
	"arctally/cmd/internal/apart"
	"arctally/cmd/internal/sealing"
	"arctally/cmd/internal/shelf"
	"arctally/cmd/internal/terminal"
)

// roomToCollect is how much memory may be filled anew, in hundredths of what is in use, before
// what nobody uses any more is collected. The machine is a small one, and may have to record
// meanwhile: the collector has little to look through, and may come more often than it would.
const roomToCollect = 40

func main() {
	ctx := prepare()
	if len(os.Args) == 2 && os.Args[1] == apart.Role {
		os.Exit(apart.Main(ctx, os.Stdin, os.Stderr))
	}
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// prepare returns what a program of its own works under: until it is to end, with the shelf
// and the keys of its user.
func prepare() context.Context {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(roomToCollect)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // a second Ctrl-C ends the program at once
	ctx = shelf.OfUser().With(ctx)
	if folder, err := seal.UserFolder(); err != nil {
		sealing.Without(err)
	} else {
		sealing.Use(folder)
	}
	return ctx
}

// run is the program: it carries out args and returns the exit status.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	screen := terminal.New(stdout, stderr)
	return screen.Report(dispatch(ctx, screen, commands(), args))
}

// commands in the order in which a newcomer needs them.
func commands() []command {
	return []command{
		demoCommand(), planCommand(), calcCommand(), linksCommand(), checkCommand(), recordCommand(), serveCommand(), importCommand(), passesCommand(),
		findingsCommand(), inspectCommand(), noteCommand(), proveCommand(), exportCommand(), reportCommand(), mapCommand(), compareCommand(), verifyCommand(), fleetCommand(), keyCommand(), devicesCommand(), manualCommand(), handOverCommand(), takeCommand(),
	}
}
