package system

// Touch is what the system says of a file.
type Touch struct {
	Device, Inode          uint64 // of the disk, and of the file on it
	Size, Written, Changed int64  // bytes; ns since 1970: a program may set back when it was written, but not when it was changed
}
