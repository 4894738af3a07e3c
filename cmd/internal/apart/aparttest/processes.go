package aparttest

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"

	"arctally/cmd/internal/apart"
)

// RecorderOf is the process that records a job of a folder; 0 is none. Linux alone tells.
func RecorderOf(folder string) (process int, err error) {
	if folder, err = filepath.EvalSymlinks(folder); err != nil {
		return 0, err
	}
	names, err := filepath.Glob("/proc/[0-9]*/cmdline")
	for _, name := range names {
		said, _ := os.ReadFile(name) // who has ended meanwhile is not it
		in, _ := os.Readlink(filepath.Join(filepath.Dir(name), "cwd"))
		if strings.HasSuffix(strings.TrimRight(string(said), "\x00"), "\x00"+apart.Role) && in == folder {
			return strconv.Atoi(filepath.Base(filepath.Dir(name)))
		}
	}
	return 0, err
}

var resident = regexp.MustCompile(`(?m)^(Rss|Pss): +(\d+) kB$`)

// CountedTwice is how many bytes of what a process has in memory others have as well, each page
// shared out among those who have it: the program and its recorder run from one file, whose pages
// are there once. Whoever adds up what both have takes it off.
func CountedTwice(process int) (int64, error) {
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/smaps_rollup", process))
	if err != nil {
		return 0, err
	}
	found := resident.FindAllStringSubmatch(string(text), -1)
	if len(found) != 2 {
		return 0, fmt.Errorf("process %d does not say what it shares", process)
	}
	var kB [2]int64
	for k := range found {
		if kB[k], err = strconv.ParseInt(found[k][2], 10, 64); err != nil {
			return 0, err
		}
	}
	return (kB[0] - kB[1]) << 10, nil
}
