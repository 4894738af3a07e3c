package main

import (
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// What the commands print is compared in UTC, wherever the tests run.
func TestMain(m *testing.M) {
	time.Local = time.UTC
	testscript.Main(m, map[string]func(){"arctally": main, stumblingName: stumbling})
}

// keyway is the folder of a whole job, which every story has at hand.
const keyway = "../../testdata/job/keyway"
