//go:build unix

package handover

import "os"

// syncNames makes the names in an open folder outlast a power cut.
func syncNames(folder *os.File) error { return folder.Sync() }
