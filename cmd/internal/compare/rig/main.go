//go:build linux

// The command rig works the insides of the tree that it was compiled in, and says what they
// took. The command compare compiles it in two trees, so that it may use only what both have.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"strconv"
	"syscall"
)

// said is what a piece of work took, and what it was done on; what a piece does not say
// is left out.
type said struct {
	Values   int64      `json:"values"`             // of voltage and current
	Bytes    int64      `json:"bytes,omitempty"`    // of the record
	Seconds  float64    `json:"seconds"`            // of processor time
	Reading  float64    `json:"reading,omitempty"`  // seconds of processor time that reading took
	Decoding float64    `json:"decoding,omitempty"` // those that the link alone took
	Entropy  [2]float64 `json:"entropy,omitempty"`  // bytes a value, of order 0 and of order 2
	Group    float64    `json:"group_s,omitempty"`  // seconds of the source in a group, in the mean
}

// works are what the rig can do, each with what it is to be told.
var works = map[string]func(args []string) (said, error){
	"write":  func(args []string) (said, error) { return writeLong(args[0], args[1], args[2] == "live") },
	"decode": func(args []string) (said, error) { return decode(args[0]) },
	"signal": func(args []string) (said, error) { return recordSignal(args[0], args[1]) },
	"line":   func(args []string) (said, error) { return recordLine(args[0]) },
	"many":   func(args []string) (said, error) { return writeMany(args[0], args[1]) },
}

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "rig:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) == 0 || works[args[0]] == nil {
		return errors.New("rig write FILE HOURS live|import, decode FILE, signal NAME FILE, line FILE, or many FILE PASSES")
	}
	took, err := works[args[0]](args[1:])
	if err != nil {
		return err
	}
	return json.NewEncoder(os.Stdout).Encode(took)
}

// processorTime is that of this process so far, in s.
func processorTime() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic("rig: " + err.Error()) // it is asked for nothing that can fail
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// number reads a figure of the command line.
func number(text string) (float64, error) { return strconv.ParseFloat(text, 64) }
