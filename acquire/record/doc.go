// Package record knows the record of a job: one SQLite file that holds what was
// measured as it was measured, and can show afterwards that nobody changed it.
//
// Terms. A commit group is what was made durable at one moment, about once a
// second. A chunk is a run of samples of one kind within a group: one row, whose
// payload has its columns (voltage, current, ticks ...). Before version 4 of the
// format each column was a part, a row of its own. A group is acknowledged once
// SQLite has synced it to the disk. The chain is the row of SHA-256 hashes in which
// each group covers the one before it. FORMAT.md beside this file, and the table
// "about" within each record, say the rest.
//
// Guarantees. What was acknowledged survives a crash and a power cut. Nothing
// is dropped: when the disk stalls for longer than the memory lasts, the caller
// waits. After an error of a commit the Writer stops and returns that error
// from then on; it never tries again, because what a disk did after a failed
// sync is not known. A Reader changes no byte of the record, and gives back
// the samples, ticks, breaks, flags and events that were written.
//
// Create or Append opens a Writer, Open a Reader; Verify checks the chain.
//
// The way of a sample, file by file: create.go makes the record, add.go takes the
// sample in, group.go gathers what is committed together, queue.go keeps it until
// the disk has it, commit.go and commit_chunks.go make rows of it with the payloads
// of package codec, chain.go hashes them; reader.go opens the record, groups.go and
// groups_chunk.go give the sample back, verify.go looks whether it is the same one.
//
// Caveats. The chain shows a change, a deletion or an insertion, but not that
// whole groups were cut from its end by someone who knows the format: only a
// signature kept elsewhere could. A record copied while it is written must be
// copied with the "-wal" file beside it.
//
// Errors: every error is or wraps an *Error, with a Kind and, where something
// can be done, a Hint. A block whose slices differ in length panics.
package record
