package check

import (
	"fmt"

	"arctally/cmd/internal/explain"
)

// CommonKeys are taken by every check.
var CommonKeys = []string{"by", "instrument", "certificate", "due", "done"}

// PairKey stands once for each row of figures that belong together.
const PairKey = "pair"

// Misuse is a check that was asked for in a way that it cannot be done.
func Misuse(format string, arg ...any) *explain.MisuseError {
	return &explain.MisuseError{Command: "check", Text: fmt.Sprintf(format, arg...)}
}
