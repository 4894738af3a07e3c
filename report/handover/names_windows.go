package handover

import "os"

// syncNames does nothing: Windows refuses to sync a folder. A name that was only made may be missing after a power cut; the
// bundle is then gone on with, as one that was torn.
func syncNames(*os.File) error { return nil }
