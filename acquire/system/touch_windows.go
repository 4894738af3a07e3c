package system

import (
	"errors"
	"os"
	"unsafe"

	"golang.org/x/sys/windows"
)

// TouchOf is that of the file of a name, or of what a link of that name leads to. The time
// of the last change is kept by the system beside that of the last writing.
func TouchOf(path string) (t Touch, err error) {
	file, err := os.Open(path)
	if err != nil {
		return t, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	handle := windows.Handle(file.Fd())
	var is windows.ByHandleFileInformation
	if err := windows.GetFileInformationByHandle(handle, &is); err != nil {
		return t, &os.PathError{Op: "look at", Path: path, Err: err}
	}
	var times basicInformation
	if err := windows.GetFileInformationByHandleEx(handle, windows.FileBasicInfo, (*byte)(unsafe.Pointer(&times)), uint32(unsafe.Sizeof(times))); err != nil {
		return t, &os.PathError{Op: "look at", Path: path, Err: err}
	}
	return Touch{
		Device:  uint64(is.VolumeSerialNumber),
		Inode:   uint64(is.FileIndexHigh)<<32 | uint64(is.FileIndexLow),
		Size:    int64(is.FileSizeHigh)<<32 | int64(is.FileSizeLow),
		Written: times.written.Nanoseconds(), Changed: times.changed.Nanoseconds(),
	}, nil
}

// basicInformation is FILE_BASIC_INFO of the Windows headers.
type basicInformation struct {
	created, accessed, written, changed windows.Filetime
	attributes                          uint32
	_                                   uint32
}
