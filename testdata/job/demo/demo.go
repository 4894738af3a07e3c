// Package demo holds the job that `arctally demo` lays: the job file and its
// procedure, built into the program.
package demo

import "embed"

// Files are the job file, job.yaml, and the procedure that it names.
//
//go:embed job.yaml procedures/gmaw-short-arc.yaml
var Files embed.FS
