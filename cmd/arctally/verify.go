package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"arctally/acquire/foreign"
	"arctally/acquire/record"
	"arctally/acquire/seal"
	"arctally/cmd/internal/explain"
	"arctally/cmd/internal/files"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
)

func verifyCommand() command {
	return command{
		name:     "verify",
		operands: "RECORD",
		summary:  "checks that a record is whole, that nobody changed it, and who sealed it",
		example:  "arctally verify boom-pin.arctally --signers signers.txt",
		setUp: func(set *flag.FlagSet) action {
			var v verification
			set.StringVar(&v.signers, "signers", "", "hold the seals against the keys in `FILE`, as ssh-keygen reads it (allowed signers): one of them must have sealed the end")
			set.StringVar(&v.head, "head", "", "the record must have had this `HEAD`, as the certificate or its QR code says it")
			set.StringVar(&v.out, "seal", "", "put the text of the last seal into `FILE`, and its signature into FILE.sig, for ssh-keygen -Y verify")
			set.StringVar(&v.stamping.request, "stamp-request", "", "put into `FILE` what a time-stamping service (RFC 3161) is to be asked")
			set.StringVar(&v.stamping.reply, "stamp", "", "say what the reply of a time-stamping service in `FILE` shows of the record")
			set.StringVar(&v.stamping.authority, "authority", "", "the certificate in `FILE` (PEM) is that of who vouches for the service")
			return v.run
		},
	}
}

// verification is what was asked for.
type verification struct {
	signers, head, out string
	stamping           stamping
}

func (v *verification) run(ctx context.Context, screen *terminal.Screen, operands []string) error {
	file := operands[0]
	trusted, err := v.trusted()
	if err != nil {
		return err
	}
	var found *record.Sealing
	var shown []string
	err = screen.Wait(ctx, "verifying "+file, func() (err error) {
		found, shown, err = v.verified(file)
		return err
	})
	if err != nil {
		return err
	}
	says := append([]string{"the record is whole"}, found.Says(trusted, v.signers != "")...)
	if len(found.Seals) == 0 {
		says[0] += ", not sealed"
	}
	says = append(append(says, vouchedFor(found)...), shown...)
	if err := screen.Print(foreign.Line(file) + ": " + strings.Join(lines(says), "\n  ") + "\n"); err != nil {
		return err
	}
	if err := errors.Join(v.takeOut(file, found), v.stamping.ask(found.Head)); err != nil {
		return err
	}
	if v.signers == "" {
		return nil
	}
	if doubt := found.Doubt(trusted); doubt != "" {
		return &explain.Error{
			Kind: explain.Unfit, Text: file + ": held against " + v.signers + ": " + doubt,
			Next: "ask who recorded it for a copy with its end mark, or hold the key above against one that you know",
		}
	}
	return nil
}

// verified reads the record, and what else was given to be held against it.
func (v *verification) verified(file string) (found *record.Sealing, shown []string, err error) {
	r, err := record.Open(file)
	if err != nil {
		return nil, nil, err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	if found, err = r.VerifySeals(); err != nil {
		return nil, nil, err
	}
	if shown, err = headSays(r, file, v.head, found.Groups); err != nil {
		return nil, nil, err
	}
	stamped, err := v.stamping.says(r)
	if stamped != "" {
		shown = append(shown, stamped)
	}
	return found, shown, err
}

func (v *verification) trusted() ([]seal.Signer, error) {
	if v.signers == "" {
		return nil, nil
	}
	file, err := os.ReadFile(v.signers)
	if err != nil {
		return nil, err
	}
	signers, err := seal.ParseSigners(string(file))
	if err != nil {
		return nil, &explain.Error{Kind: explain.Unfit, Text: v.signers + ": " + err.Error(), Next: "a line is what arctally key prints", Cause: err}
	}
	return signers, nil
}

// vouchedFor says what the seals stand for, and until when, where the record was under none for a
// while, as after a power cut: whoever sealed it later did not see it written. So the signers never
// vouch for all of it, and --signers says so with its status.
func vouchedFor(s *record.Sealing) (says []string) {
	from := int64(1)
	for _, found := range s.Found {
		written := "none of what was written before that"
		for k := range s.Seals {
			if one := &s.Seals[k]; one.Group >= from && one.Group < found.First {
				written = fmt.Sprintf("commits %d to %d as they were written, until %s", from, one.Group, sheet.Minute(one.At))
			}
		}
		says = append(says, fmt.Sprintf("the seals vouch for %s; for commits %d to %d only as they were found on %s: with --signers the status is 1, also where its keys are right",
			written, found.First, found.Last, sheet.Minute(found.By.At)))
		from = found.Last + 1
	}
	return says
}

// takeOut puts the last seal into two files.
func (v *verification) takeOut(file string, found *record.Sealing) error {
	if v.out == "" {
		return nil
	}
	if len(found.Seals) == 0 {
		return &explain.Error{Kind: explain.NotThere, Text: file + ": no seal is in it", Next: "go on with it, or inspect it, on a machine that seals"}
	}
	last := found.Seals[len(found.Seals)-1]
	return errors.Join(write(v.out, last.Text()), write(v.out+".sig", seal.Armor(last.Signature)))
}

// lines are sentences that stand in a line each, whatever name is in them.
func lines(sentences []string) []string {
	fit := make([]string, len(sentences))
	for k, one := range sentences {
		fit[k] = foreign.Line(one)
	}
	return fit
}

func write(file, text string) error {
	return files.Write(file, func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	})
}
