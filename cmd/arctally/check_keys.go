package main

import (
	"fmt"

	"arctally/cmd/internal/explain"
)

// checkKeys are taken by every check.
var checkKeys = []string{"by", "instrument", "certificate", "due", "done"}

func checkMisuse(format string, arg ...any) *explain.MisuseError {
	return &explain.MisuseError{Command: "check", Text: fmt.Sprintf(format, arg...)}
}

func (k checkKind) keys() lineKeys {
	return lineKeys{command: "check", subject: string(k.subject), needs: k.needs, takes: k.takes, common: checkKeys}
}

// read takes the pairs of a check.
func (k checkKind) read(pairs []string) (*lineInput, error) { return k.keys().read(pairs) }

// usage shows the keys of a check.
func (k checkKind) usage() string { return k.keys().usage() }
