// Package modbus polls slaves over Modbus RTU (V1.02) and says what they say as
// readings of a box: by the block map of sums, or by a map of registers that a job
// lists. FORMAT.md beside this file has both maps.
//
// Terms. A request asks one slave, known by its unit, for registers in a row; the
// answer has them, or the exception by which the slave refuses. An exchange is a
// request and what came of it; a poll is the exchanges that read a map once. A stray is
// what comes while nobody has asked.
//
// The rules, each of which answers a trap of such a line:
//   - An answer carries no number by which one could tell which request it answers.
//     After a request that nobody answered, the line must have been quiet for a while
//     before the next one, and the first answer after it counts only if no other follows:
//     one late answer would otherwise make each later one the answer to the request before.
//   - Half-duplex adapters send back what the host sends. What begins as the request
//     is taken off.
//   - Other slaves may speak on the same pair of wires, and the turn of a line gives
//     bytes that nobody sent. An answer is looked for in what came; where two answers
//     are found, neither is believed.
//   - The checksum of 16 bits lets one of 65 536 chance answers through. Of the block
//     map a reading is believed once the next one bears it out.
//
// Why there is a master of our own, where the project takes a library for what others
// keep well: the one for Modbus in Go that is kept opens the serial line by itself, and
// hands out neither its framing nor its checksum. It cannot be given a line that
// survives unplugging and is locked, it takes no echo off, and it does not drain after
// silence. Tests have it read the virtual slave, as a second opinion.
//
// Errors are of type *Error and carry a hint; those of a single poll go to the listener,
// and polling goes on. Only a slave that refuses what the job asks for ends it.
package modbus
