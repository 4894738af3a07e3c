//go:build unix

package system

import "io/fs"

// Rights are who may do what with a file.
func Rights(info fs.FileInfo) fs.FileMode { return info.Mode().Perm() }
