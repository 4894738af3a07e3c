package handover

import (
	"encoding/hex"
	"io/fs"
	"strings"
)

// The names of what is in every bundle.
const (
	ManifestName = "ro-crate-metadata.json"
	RecordName   = "record.arctally"
	ResultsName  = "results.json"
	PassesName   = "passes.parquet"
	SamplesName  = "samples.parquet"
	SlowName     = "slow.parquet"
)

// The longest name of a file, and the folders that it may lie in. Ours, no source: below what every file
// system takes.
const (
	longestName = 128
	deepest     = 3 // elements
)

// IsDigest tells whether a text is the name of a bundle: 64 hexadecimal digits, small ones.
func IsDigest(text string) bool {
	raw, err := hex.DecodeString(text)
	return err == nil && len(raw) == digestSize && text == strings.ToLower(text)
}

// goodName tells whether a file of a bundle may have a name: one that leads nowhere else on any system,
// and that no system takes for another one. So neither a backslash nor a colon stands in it, no letter
// that has a smaller one, nothing that begins or ends with a dot, and no device of Windows.
func goodName(name string) bool {
	if !fs.ValidPath(name) || len(name) > longestName {
		return false
	}
	elements := strings.Split(name, "/")
	if len(elements) > deepest {
		return false
	}
	for _, element := range elements {
		if strings.Trim(element, ".") != element || element == "" || strings.ContainsFunc(element, strange) || isDevice(element) {
			return false
		}
	}
	return true
}

func strange(r rune) bool {
	return (r < 'a' || r > 'z') && (r < '0' || r > '9') && r != '-' && r != '_' && r != '.'
}

// isDevice tells whether Windows takes a name for a device, whatever its ending.
func isDevice(element string) bool {
	stem, _, _ := strings.Cut(element, ".")
	switch stem {
	case "con", "prn", "aux", "nul":
		return true
	}
	return len(stem) == 4 && (strings.HasPrefix(stem, "com") || strings.HasPrefix(stem, "lpt")) && stem[3] >= '0' && stem[3] <= '9'
}
