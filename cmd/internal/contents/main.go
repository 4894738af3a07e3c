// Command contents says what a built program is made of: as a list in the form of
// CycloneDX 1.6 (JSON), which other programs read, and as the licences of all of it, which
// have to go where the program goes.
//
// Terms. A module is Go's; a package is npm's. Bundled is a package of which something
// stands in the pages; the others only build or try them, and are in no program.
package main

import (
	"debug/buildinfo"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

func main() {
	var o options
	flag.StringVar(&o.program, "program", "", "the built program")
	flag.StringVar(&o.version, "version", "", "its version")
	flag.StringVar(&o.pages, "pages", "report/page", "where the pages are made")
	flag.StringVar(&o.moment, "moment", "", "when its sources were written (RFC 3339)")
	flag.StringVar(&o.list, "list", "", "write the list here")
	flag.StringVar(&o.licences, "licences", "", "write the licences here")
	flag.Parse()
	if err := o.run(); err != nil {
		fmt.Fprintln(os.Stderr, "contents:", err)
		os.Exit(1)
	}
}

// options are what the command line says.
type options struct{ program, version, pages, moment, list, licences string }

func (o *options) run() error {
	if _, err := time.Parse(time.RFC3339, o.moment); err != nil {
		return err
	}
	info, err := buildinfo.ReadFile(o.program)
	if err != nil {
		return err
	}
	parts, err := modules(info)
	if err != nil {
		return err
	}
	packages, err := bundled(o.pages)
	if err != nil {
		return err
	}
	parts = append(parts, packages...)
	for k := range parts {
		if err := parts[k].read(); err != nil {
			return err
		}
	}
	if err := writeList(o, info, parts); err != nil {
		return err
	}
	return writeLicences(o.licences, parts)
}

// write makes a file, and the folder for it.
func write(name string, text []byte) error {
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		return err
	}
	return os.WriteFile(name, text, 0o644)
}
