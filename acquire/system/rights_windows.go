package system

import "io/fs"

// Rights are taken to be its owner's alone: on Windows a file has those of its folder, and
// nobody else may enter the folders of a user's own data.
func Rights(fs.FileInfo) fs.FileMode { return 0o600 }
