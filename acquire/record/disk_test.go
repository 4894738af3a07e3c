package record

import (
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"unsafe"

	"github.com/stretchr/testify/require"
	"modernc.org/libc"
	sqlite3 "modernc.org/sqlite/lib"
)

// touch is one thing that SQLite did to a file.
type touch struct {
	file   string
	what   string // write, truncate, sync, delete, or rename, which is ours
	at     int64  // of a write; of truncate the size
	bytes  []byte
	lasts  bool // a delete that is durable at once
	become string
}

// watch lies between SQLite and the disk: it keeps what SQLite does to the files of a folder,
// and lets the disk fail where a test wants it.
var watch struct {
	sync.Mutex
	once    sync.Once
	own     sqlite3.Tsqlite3_vfs
	name    []byte
	base    uintptr // SQLite's own
	methods map[uintptr]*sqlite3.Tsqlite3_io_methods
	below   map[uintptr]*sqlite3.Tsqlite3_io_methods // those of SQLite, by ours
	files   map[uintptr]string

	folder  string // that is watched; empty is none
	touches []touch
	fails   int // from so many touches on the disk fails; below 0 never
}

// at is what a number that SQLite takes for a pointer points to.
func at[T any](p uintptr) *T { return (*T)(*(*unsafe.Pointer)(unsafe.Pointer(&p))) }

// called is the function that SQLite's pointer stands for; pointer is the reverse.
func called[F any](p uintptr) F {
	f := &struct{ p uintptr }{p}
	return *(*F)(unsafe.Pointer(f))
}

func pointer[F any](f F) uintptr { return *(*uintptr)(unsafe.Pointer(&f)) }

// watched has SQLite work in a folder under watch, until the test ends.
func watched(t *testing.T, folder string) {
	t.Helper()
	watch.once.Do(func() {
		tls := libc.NewTLS()
		watch.base = sqlite3.Xsqlite3_vfs_find(tls, 0)
		watch.own = *at[sqlite3.Tsqlite3_vfs](watch.base)
		watch.name = []byte("watched\x00")
		watch.own.FzName = uintptr(unsafe.Pointer(&watch.name[0]))
		watch.own.FpNext = 0
		watch.own.FxOpen = pointer(watchOpen)
		watch.own.FxDelete = pointer(watchDelete)
		watch.methods = map[uintptr]*sqlite3.Tsqlite3_io_methods{}
		watch.below = map[uintptr]*sqlite3.Tsqlite3_io_methods{}
		watch.files = map[uintptr]string{}
		require.Equal(t, int32(sqlite3.SQLITE_OK), sqlite3.Xsqlite3_vfs_register(tls, uintptr(unsafe.Pointer(&watch.own)), 1))
	})
	watch.Lock()
	defer watch.Unlock()
	watch.folder, watch.touches, watch.fails = folder, nil, -1
	t.Cleanup(func() { unwatched() })
}

// unwatched ends the watching and returns what was done.
func unwatched() []touch {
	watch.Lock()
	defer watch.Unlock()
	watch.folder, watch.fails = "", -1
	return watch.touches
}

// seen returns what was done up to now.
func seen() []touch {
	watch.Lock()
	defer watch.Unlock()
	return slices.Clone(watch.touches)
}

// touched notes what is done, and returns false where the disk fails.
func touched(x touch) bool {
	watch.Lock()
	defer watch.Unlock()
	if watch.folder == "" || !strings.HasPrefix(x.file, watch.folder) || strings.HasSuffix(x.file, "-shm") {
		return true
	}
	if watch.fails >= 0 && len(watch.touches) >= watch.fails {
		return false
	}
	x.file = strings.TrimPrefix(x.file, watch.folder+"/")
	watch.touches = append(watch.touches, x)
	return true
}

func watchOpen(tls *libc.TLS, vfs, name, file uintptr, flags int32, out uintptr) int32 {
	path := ""
	if name != 0 {
		path = libc.GoString(name)
	}
	open := called[func(*libc.TLS, uintptr, uintptr, uintptr, int32, uintptr) int32](at[sqlite3.Tsqlite3_vfs](watch.base).FxOpen)
	code := open(tls, vfs, name, file, flags, out)
	own := at[sqlite3.Tsqlite3_file](file)
	if code != sqlite3.SQLITE_OK || own.FpMethods == 0 {
		return code
	}
	watch.Lock()
	defer watch.Unlock()
	watch.files[file] = path
	own.FpMethods = uintptr(unsafe.Pointer(around(own.FpMethods)))
	return code
}

// around returns methods of a file that go through the watch.
func around(of uintptr) *sqlite3.Tsqlite3_io_methods {
	if known := watch.methods[of]; known != nil {
		return known
	}
	below := at[sqlite3.Tsqlite3_io_methods](of)
	m := *below
	m.FxWrite, m.FxTruncate, m.FxSync, m.FxClose = pointer(watchWrite), pointer(watchTruncate), pointer(watchSync), pointer(watchClose)
	watch.methods[of] = &m
	watch.below[uintptr(unsafe.Pointer(&m))] = below
	return &m
}

// beneath returns SQLite's methods of a file, and its name.
func beneath(file uintptr) (*sqlite3.Tsqlite3_io_methods, string) {
	watch.Lock()
	defer watch.Unlock()
	return watch.below[at[sqlite3.Tsqlite3_file](file).FpMethods], watch.files[file]
}

func watchWrite(tls *libc.TLS, file, from uintptr, n int32, offset int64) int32 {
	m, name := beneath(file)
	b := append([]byte(nil), unsafe.Slice(at[byte](from), n)...)
	if !touched(touch{file: name, what: "write", at: offset, bytes: b}) {
		return sqlite3.SQLITE_FULL
	}
	return called[func(*libc.TLS, uintptr, uintptr, int32, int64) int32](m.FxWrite)(tls, file, from, n, offset)
}

func watchTruncate(tls *libc.TLS, file uintptr, size int64) int32 {
	m, name := beneath(file)
	if !touched(touch{file: name, what: "truncate", at: size}) {
		return sqlite3.SQLITE_IOERR_TRUNCATE
	}
	return called[func(*libc.TLS, uintptr, int64) int32](m.FxTruncate)(tls, file, size)
}

func watchSync(tls *libc.TLS, file uintptr, flags int32) int32 {
	m, name := beneath(file)
	if !touched(touch{file: name, what: "sync"}) {
		return sqlite3.SQLITE_IOERR_FSYNC
	}
	return called[func(*libc.TLS, uintptr, int32) int32](m.FxSync)(tls, file, flags)
}

// watchClose gives SQLite its own methods back, which look at where they came from.
func watchClose(tls *libc.TLS, file uintptr) int32 {
	m, _ := beneath(file)
	watch.Lock()
	delete(watch.files, file)
	watch.Unlock()
	at[sqlite3.Tsqlite3_file](file).FpMethods = uintptr(unsafe.Pointer(m))
	return called[func(*libc.TLS, uintptr) int32](m.FxClose)(tls, file)
}

func watchDelete(tls *libc.TLS, vfs, name uintptr, synced int32) int32 {
	path := libc.GoString(name)
	if _, err := os.Lstat(path); err == nil && !touched(touch{file: path, what: "delete", lasts: synced != 0}) {
		return sqlite3.SQLITE_IOERR_DELETE
	}
	return called[func(*libc.TLS, uintptr, uintptr, int32) int32](at[sqlite3.Tsqlite3_vfs](watch.base).FxDelete)(tls, vfs, name, synced)
}
