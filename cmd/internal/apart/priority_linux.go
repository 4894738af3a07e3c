package apart

import (
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// How far the front stands back: in the order in which the system gives processors away,
// and in that in which it takes memory back where there is none left. Ours, no source.
const (
	stepBack     = 10
	endsFirst    = 300
	endsFirstOf  = "/proc/self/oom_score_adj"
	threadsOfOur = "/proc/self/task"
)

// beforeAll has this process stand back from now on, and returns what starts others that do
// not: a process begins where the thread stands that starts it, and only one thread stays
// where it was. What the system does not let be done is left as it is.
func beforeAll() (start func(func() error) error) {
	asked, ready := make(chan func()), make(chan struct{})
	go func() {
		runtime.LockOSThread() // for good: nothing else may run where this one stands
		standBack(unix.Gettid())
		close(ready)
		for do := range asked {
			do()
		}
	}()
	<-ready
	before, err := os.ReadFile(endsFirstOf)
	if err != nil || toInt(before) >= endsFirst {
		before = nil
	}
	endFirst := func(yes bool) {
		switch {
		case before == nil:
		case yes:
			_ = os.WriteFile(endsFirstOf, []byte(strconv.Itoa(endsFirst)), 0)
		default:
			_ = os.WriteFile(endsFirstOf, before, 0)
		}
	}
	endFirst(true)
	return func(do func() error) error {
		done := make(chan error)
		asked <- func() {
			endFirst(false)
			defer endFirst(true)
			done <- do()
		}
		return <-done
	}
}

// toInt is the number in a file of the system; 0 is none.
func toInt(text []byte) int {
	n, _ := strconv.Atoi(strings.TrimSpace(string(text)))
	return n
}

// standBack has all threads but one stand back. Those that come later begin where the one
// stands that makes them, so it is done again until all stand back.
func standBack(but int) {
	for {
		names, err := os.ReadDir(threadsOfOur)
		if err != nil {
			return
		}
		moved := false
		for _, name := range names {
			id, err := strconv.Atoi(name.Name())
			if err != nil || id == but || niceOf(id) >= stepBack {
				continue
			}
			moved = unix.Setpriority(unix.PRIO_PROCESS, id, stepBack) == nil || moved
		}
		if !moved {
			return
		}
	}
}

// niceOf is how far a thread stands back; what is not known counts as far enough.
func niceOf(thread int) int {
	text, err := os.ReadFile(filepath.Join(threadsOfOur, strconv.Itoa(thread), "stat"))
	if err != nil {
		return stepBack
	}
	const niceAfterName = 16 // fields after the name in brackets, as proc(5) counts them: nice is field 19
	fields := strings.Fields(string(text[strings.LastIndexByte(string(text), ')')+1:]))
	if len(fields) <= niceAfterName {
		return stepBack
	}
	nice, err := strconv.Atoi(fields[niceAfterName])
	if err != nil {
		return stepBack
	}
	return nice
}
