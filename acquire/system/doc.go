// Package system knows where Linux, macOS and Windows differ in what several rooms need:
// locks, what is said of a file, the room on a disk, and what makes a name durable.
// A difference that only one room meets stays in that room.
//
// Terms. A touch is what the system says of a file; whoever writes into the file, or puts
// another one in its place, makes another touch of it.
//
// Errors: those of the system, and ErrHeld where somebody else has a lock.
package system
