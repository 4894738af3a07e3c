// Package codec packs columns of numbers into the payloads of a record, and opens
// them again. It knows numbers and bytes; where a payload is kept is not its matter.
//
// Terms. A column is what one chunk has of one thing: voltages, ticks, flags. A
// codec, known by its number, is a way to write a column down as bytes. A payload
// is those bytes, or those of all columns of a chunk joined, in one or two zstd frames
// (RFC 8878) with checksums. A plane is one byte of every number: first the lowest byte
// of all, then the next one of all. Zigzag writes 0, -1, 1, -2, 2 ... as 0, 1, 2, 3, 4 ...,
// so that the upper planes of small differences are nothing but zeros.
//
// A Packer chooses the codec; an Unpacker is told which one it was, and how many
// numbers there are. Both reuse their memory, and belong to one goroutine. What
// was packed comes back to the bit. FORMAT.md of package record has the bytes.
//
// Errors: every error is or wraps ErrPayload. Bytes that nobody packed never
// panic, and never take more memory than the largest chunk does. A column without
// a number in it panics where it is packed as Codes or Numbers.
package codec
