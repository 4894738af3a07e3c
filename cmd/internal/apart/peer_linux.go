package apart

import (
	"net"

	"golang.org/x/sys/unix"
)

// peerOf is the process at the other end of a line; 0 is not known.
func peerOf(conn net.Conn) (process int) {
	socket, ok := conn.(*net.UnixConn)
	if !ok {
		return 0
	}
	raw, err := socket.SyscallConn()
	if err != nil {
		return 0
	}
	err = raw.Control(func(descriptor uintptr) {
		if who, err := unix.GetsockoptUcred(int(descriptor), unix.SOL_SOCKET, unix.SO_PEERCRED); err == nil {
			process = int(who.Pid)
		}
	})
	if err != nil {
		return 0
	}
	return process
}
