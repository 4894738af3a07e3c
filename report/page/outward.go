package page

import (
	"path"
	"regexp"
)

// placed is a path from the root of the disk; one that follows a letter, as in 5 mm/min, or
// the // of an address is none.
var placed = regexp.MustCompile(`(^|[\s"'(=:\[,;])(/[^/\s"'()\[\],;:]+(?:/[^/\s"'()\[\],;:]+)+/?)`)

// driven is such a path of Windows, which begins with a drive.
var driven = regexp.MustCompile(`(^|[\s"'(=:\[,;])[A-Za-z]:\\(?:[^\\\s"'()\[\],;:]+\\)*([^\\\s"'()\[\],;:]+)`)

// kept are the places that a person has to be told: the ports, and what is asked of this server.
var kept = regexp.MustCompile(`^/(dev|api)/`)

// Outward is a text as it goes out to the pages: files in it are named without the folders
// that they lie in, which say more of this machine than a page needs.
func Outward(text string) string {
	return placed.ReplaceAllStringFunc(driven.ReplaceAllString(text, "$1$2"), func(found string) string {
		m := placed.FindStringSubmatch(found)
		if kept.MatchString(m[2]) {
			return found
		}
		return m[1] + path.Base(m[2])
	})
}
