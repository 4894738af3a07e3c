package check

import (
	"fmt"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/pairs"
)

// CommonKeys are taken by every check.
var CommonKeys = []string{"by", "instrument", "certificate", "due", "done"}

// Misuse is a check that was asked for in a way that it cannot be done.
func Misuse(format string, arg ...any) *explain.MisuseError {
	return &explain.MisuseError{Command: "check", Text: fmt.Sprintf(format, arg...)}
}

func (k Kind) keys() pairs.Keys {
	return pairs.Keys{Command: "check", Subject: string(k.Subject), Needs: k.Needs, Takes: k.Takes, Common: CommonKeys}
}

// Read takes the pairs of a check.
func (k Kind) Read(pairs []string) (*pairs.Input, error) { return k.keys().Read(pairs) }

// usage shows the keys of a check.
func (k Kind) usage() string { return k.keys().Usage() }
