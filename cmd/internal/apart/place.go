package apart

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"net"
	"os"
	"path/filepath"
	"time"

	"arctally/cmd/internal/explain"
)

// longestSocket is the longest path that every system takes for a socket, in bytes; the
// least of them has room for 104 with the zero after it.
const longestSocket = 100

// place is where the recorder of a folder is found.
type place struct{ socket, log string }

// placeOf finds the place for a folder, and makes it where it is not there. It is on the
// disk of the program's user: a folder of jobs may lie where there are no sockets.
func placeOf(folder string) (place, error) {
	sum := sha256.Sum256([]byte(folder))
	name := hex.EncodeToString(sum[:8])
	var roots []string
	if cache, err := os.UserCacheDir(); err == nil {
		roots = append(roots, cache)
	}
	for _, root := range append(roots, os.TempDir()) {
		dir := filepath.Join(root, "arctally", "recorders")
		at := place{filepath.Join(dir, name+".sock"), filepath.Join(dir, name+".log")}
		if len(at.socket) <= longestSocket && isOurs(dir) {
			return at, nil
		}
	}
	return place{}, &explain.Error{
		Text: "there is no folder in which the recorder can be reached: " + filepath.Join(os.TempDir(), "arctally") + " is not this user's alone, or its name is too long",
		Next: "set XDG_CACHE_HOME to a folder of your own with a short name",
	}
}

// isOurs makes a folder that only this user may enter, and reports whether it is one.
func isOurs(dir string) bool {
	if os.MkdirAll(dir, 0o700) != nil {
		return false
	}
	info, err := os.Lstat(dir)
	return err == nil && info.IsDir() && owned(info) && os.Chmod(dir, 0o700) == nil
}

// patience is how long the recorder before this one may take to leave.
const patience = time.Minute

// waits are how long a recorder that is there may say nothing, though it tells ten times a
// second how it stands. Ours, no source.
type waits struct {
	look time.Duration // between two looks at it
	tell time.Duration // then it is said to be silent
	end  time.Duration // then it hangs: it is ended and another one is started, where nothing was stored for as long
}

var patient = waits{look: 500 * time.Millisecond, tell: 5 * time.Second, end: 30 * time.Second}

// looks is how many looks make up a time.
func (w waits) looks(length time.Duration) int { return int(length / w.look) }

// listen waits until nobody else answers there, and listens.
func (p place) listen(ctx context.Context) (net.Listener, error) {
	ctx, stop := context.WithTimeout(ctx, patience)
	defer stop()
	for {
		other, err := p.dial(ctx)
		if err != nil {
			break
		}
		_ = other.Close() // it was only asked whether it is there
		if !pause(ctx, dialEvery) {
			return nil, &explain.Error{Kind: explain.InTheWay, Text: "another recorder records a job of this folder", Next: "end that recording first"}
		}
	}
	if err := os.Remove(p.socket); err != nil && !errors.Is(err, fs.ErrNotExist) { // left by one that was killed
		return nil, err
	}
	if guarded {
		return await(ctx, p.socket)
	}
	return new(net.ListenConfig).Listen(ctx, "unix", p.socket)
}

// dial finds a recorder that is there.
func (p place) dial(ctx context.Context) (net.Conn, error) {
	if guarded {
		return call(ctx, p.socket)
	}
	return new(net.Dialer).DialContext(ctx, "unix", p.socket)
}

// dialEvery is how often somebody is looked for who is not there yet, or not gone yet.
const dialEvery = 10 * time.Millisecond

// pause waits, unless ctx ends first.
func pause(ctx context.Context, length time.Duration) bool {
	timer := time.NewTimer(length)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true
	case <-ctx.Done():
		return false
	}
}
