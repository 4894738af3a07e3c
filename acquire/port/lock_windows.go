package port

// lock is nothing of ours: Windows opens a serial port for one program only.
type lock struct{}

// sharedLocks is no folder: there are no lock files.
const sharedLocks = ""

func lockDir(string) (string, error) { return "", nil }

func takeLock(string, uint64) (*lock, error) { return &lock{}, nil }

func (*lock) release() error { return nil }
