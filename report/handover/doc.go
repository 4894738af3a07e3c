// Package handover knows the bundle of a closed job: what is in it, its manifest, and how it comes
// whole into a store and out of it again.
//
// Terms. A bundle is one folder of a store, named by the head of the record's chain in hexadecimal
// digits, its digest: the same record is the same bundle, wherever it is made. A store is a folder,
// or a bucket of an object store that speaks S3, with a prefix. A manifest is the file
// ro-crate-metadata.json, an RO-Crate 1.1: it has the size and the SHA-256 of every other file, and
// is written last, so that a bundle without it is torn, and is gone on with.
//
// Guarantees. Nothing that is in a store is written over: a file of a folder gets its name by a link
// that fails where there is one, an object by If-None-Match. What is there with other bytes is an
// error. A file counts as given once the store has said that it has it, by its SHA-256 where the
// store says one, and else because it was read back. Giving twice is nothing. What is taken out is
// held against the manifest, and no name in a manifest leads out of its bundle. Nobody waits for ever:
// a connection to an object store over which nothing goes for two minutes ends.
//
// Caveats. The manifest is not signed: who may write into a store can exchange papers and manifest
// together. The record in the bundle is sealed, and papers and results can be made of it again.
//
// Sources: RO-Crate Metadata Specification 1.1, sections "Root Data Entity" and appendix "RO-Crate
// JSON-LD" (read); the property sha256 is schema.org's, and named in the context of the manifest as
// that of RO-Crate 1.1 does not have it.
//
// Errors: every error is or wraps an *Error with a Kind and a Hint, but for those of a context and
// of who writes a file.
package handover
