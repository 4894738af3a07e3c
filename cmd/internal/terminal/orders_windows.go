package terminal

import (
	"os"

	"golang.org/x/sys/windows"
)

// obeys has a terminal take the orders of a progress line, and reports whether it does: a
// console of Windows has to be asked.
func obeys(terminal *os.File) bool {
	console := windows.Handle(terminal.Fd())
	var mode uint32
	return windows.GetConsoleMode(console, &mode) == nil &&
		windows.SetConsoleMode(console, mode|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING) == nil
}
