// Package port knows how to keep a serial line open for as long as a job lasts:
// 8 data bits, no parity or an even one, 1 stop bit.
//
// Terms. A port is what a job names, best a link below /dev/serial/by-id that
// follows the adapter wherever the system puts it. A node is the character
// device behind the name at the moment; it goes when the adapter is unplugged
// and may come back under another number. The holder is the process that has
// the node's lock.
//
// The rules, each of which answers a fault of serial lines or of the library
// below:
//   - One goroutine reads. It alone meets unplugging, and looks four times a
//     second whether the node is back, without opening anything. It opens a node
//     that is new at once, and one that fails less and less often.
//   - The library handle is closed only when no call is inside it. A call
//     after that ends here: its descriptor may by then be another file's.
//   - The read time-out is set once, before the first read; a read that timed
//     out has nothing yet, and is not the end.
//   - On Windows the library's reads and writes are not used: it has what the
//     system writes to on a stack, which moves (com_windows.go).
//   - Every node has a lock file, named by its device number, because root may
//     open a busy port a second time and share out its bytes.
//   - Ports are looked up by the names of their links, never by opening them.
//
// Errors are of type *Error and carry a hint for the operator.
package port
