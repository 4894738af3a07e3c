package apart

import "io/fs"

// owned reports whether a folder is this user's: on Windows the folder of the user's cache is.
func owned(fs.FileInfo) bool { return true }
