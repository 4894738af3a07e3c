package main

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/rogpeppe/go-internal/testscript"

	"arctally/report/handover"
)

// findBundle NAME STORE puts into an environment variable where the one bundle of a folder lies.
func findBundle(ts *testscript.TestScript, _ bool, args []string) {
	found, err := filepath.Glob(ts.MkAbs(args[1]) + "/*")
	ts.Check(err)
	if len(found) != 1 {
		ts.Fatalf("%d bundles in %s", len(found), args[1])
	}
	ts.Setenv(args[0], filepath.Join(args[1], filepath.Base(found[0])))
}

// sameFolders ONE OTHER wants two folders to hold the same files, and those the same bytes.
func sameFolders(ts *testscript.TestScript, _ bool, args []string) {
	one, other := contents(ts, args[0]), contents(ts, args[1])
	for name, content := range one {
		if !bytes.Equal(content, other[name]) {
			ts.Fatalf("%s is another one", name)
		}
	}
	if len(one) != len(other) || len(one) == 0 {
		ts.Fatalf("%d files, and %d", len(one), len(other))
	}
}

func contents(ts *testscript.TestScript, folder string) map[string][]byte {
	found := map[string][]byte{}
	root := os.DirFS(ts.MkAbs(folder))
	ts.Check(fs.WalkDir(root, ".", func(name string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		found[name], err = fs.ReadFile(root, name)
		return err
	}))
	return found
}

// remanifest BUNDLE NAME FILE puts a file in place of one of a bundle, and has the manifest say that this
// is how it was handed over, as a forger would.
func remanifest(ts *testscript.TestScript, _ bool, args []string) {
	at := filepath.Join(ts.MkAbs(args[0]), handover.ManifestName)
	text, err := os.ReadFile(at)
	ts.Check(err)
	m, err := handover.ParseManifest(at, text)
	ts.Check(err)
	content, err := os.ReadFile(ts.MkAbs(args[2]))
	ts.Check(err)
	for k := range m.Files {
		if m.Files[k].Name == args[1] {
			m.Files[k].Sum, err = handover.SumOf(bytes.NewReader(content))
			ts.Check(err)
		}
	}
	ts.Check(errors.Join(os.WriteFile(filepath.Join(ts.MkAbs(args[0]), args[1]), content, 0o600), os.WriteFile(at, m.Bytes(), 0o600)))
}
