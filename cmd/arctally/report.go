package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"

	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/letterhead"
	"arctally/cmd/internal/review"
	"arctally/cmd/internal/terminal"
	"arctally/report/paper"
	"arctally/report/paper/layout"
)

func reportCommand() command {
	return command{
		name:     "report",
		operands: "RECORD",
		summary:  "writes the weld record for people (.pdf, .html) or programs (.json)",
		example:  "arctally report boom-pin.arctally -o boom-pin.pdf --paper letter",
		findings: true,
		setUp:    reportAction,
	}
}

func reportAction(flags *flag.FlagSet) action {
	options := bindReview(flags)
	options.bindUnits(flags)
	certificate := flags.Bool("certificate", false, "write the certificate alone, the first sheet of the .pdf, with what it had no room for")
	output := flags.String("o", "", "write `FILE.pdf`, FILE.html or FILE.json; left out, the record's name with .html, here")
	format := formatFlag(layout.A4)
	flags.Var(&format, "paper", "lay a .pdf out on `PAPER`: a4 or letter; left out, a4")
	head := flags.String("letterhead", "", "put the logo and the address of `FILE.yaml` on the certificate: logo: PICTURE.png, lines: [a line, another line]")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		file := *output
		if file == "" {
			file = files.Stem(operands[0]) + ".html"
		}
		own, err := letterheadOf(*head)
		if err != nil {
			return err
		}
		write, err := reportWriter(ctx, file, own, layout.Format(format), *certificate, options)
		if err != nil {
			return err
		}
		return options.judging(ctx, screen, operands[0], func(r *review.Review) error {
			if err := r.Verify(ctx); err != nil {
				return err
			}
			r.Result.Profiles = nil // megabytes, of which no weld record shows anything
			useLittle()
			if err := files.Write(file, func(w io.Writer) error { return write(r, w) }); err != nil {
				return err
			}
			screen.Tell("wrote %s", file)
			return nil
		})
	}
}

// littleMemory is what a weld record is laid out in, if the job leaves room for it.
const littleMemory = 56 << 20

// useLittle has the collector keep a process within little memory, or within twice what its
// job takes: less would have it do nothing but collect.
func useLittle() {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	debug.SetMemoryLimit(max(littleMemory, 2*int64(m.HeapAlloc)))
}

// letterheadOf reads a letterhead file; no name is none.
func letterheadOf(file string) (*paper.Letterhead, error) {
	if file == "" {
		return nil, nil
	}
	return letterhead.Read(os.DirFS(filepath.Dir(file)), filepath.Base(file))
}

// reportWriter chooses the form of the report by the file's name.
func reportWriter(ctx context.Context, file string, head *paper.Letterhead, format layout.Format, certificate bool, options *reviewFlags) (func(*review.Review, io.Writer) error, error) {
	ext := filepath.Ext(file)
	if certificate && ext != ".pdf" {
		return nil, &explain.MisuseError{Command: "report", Text: file + ": a certificate alone is a .pdf file: name one with -o"}
	}
	switch ext {
	case ".json":
		return (*review.Review).WriteJSON, nil
	case ".pdf", ".html":
	default:
		return nil, &explain.MisuseError{Command: "report", Text: file + ": a report is a .pdf, a .html or a .json file"}
	}
	return func(r *review.Review, w io.Writer) error {
		s := r.Sheet()
		if certificate {
			return paper.With{Head: head}.CertificatePDF(w, s, options.units(&s.Job), format)
		}
		waves, err := r.Waves(ctx, s)
		if err != nil {
			return err
		}
		with := paper.With{Head: head, Waves: waves}
		if ext == ".html" {
			return with.HTML(w, s, options.units(&s.Job))
		}
		return with.PDF(w, s, options.units(&s.Job), format)
	}, nil
}

// formatFlag is a size of paper.
type formatFlag layout.Format

// String implements flag.Value.
func (f *formatFlag) String() string { return string(*f) }

// Set implements flag.Value.
func (f *formatFlag) Set(text string) error {
	if !slices.Contains(layout.Formats, layout.Format(text)) {
		return fmt.Errorf("there is no paper %s; choose from a4, letter", text)
	}
	*f = formatFlag(text)
	return nil
}
