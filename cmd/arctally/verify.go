package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
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
	signers, out string
	stamping     stamping
}

func (v *verification) run(ctx context.Context, screen *terminal.Screen, operands []string) error {
	file := operands[0]
	trusted, err := v.trusted()
	if err != nil {
		return err
	}
	var found *record.Sealing
	var stamped string
	err = screen.Wait(ctx, "verifying "+file, func() (err error) {
		found, stamped, err = v.verified(file)
		return err
	})
	if err != nil {
		return err
	}
	says := saysOf(found, trusted, v.signers != "")
	if stamped != "" {
		says = append(says, stamped)
	}
	if err := screen.Print(foreign.Line(file) + ": the record is whole" + strings.Join(lines(says), "\n  ") + "\n"); err != nil {
		return err
	}
	if err := errors.Join(v.takeOut(file, found), v.stamping.ask(found.Head)); err != nil {
		return err
	}
	if v.signers != "" && !sealedByOne(found, trusted) {
		return &explain.Error{
			Kind: explain.Unfit, Text: file + ": none of the signers in " + v.signers + " sealed its end",
			Next: "ask who recorded it for a copy with its end mark, or hold the key above against one that you know",
		}
	}
	return nil
}

func (v *verification) verified(file string) (found *record.Sealing, stamped string, err error) {
	r, err := record.Open(file)
	if err != nil {
		return nil, "", err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	if found, err = r.VerifySeals(); err != nil {
		return nil, "", err
	}
	stamped, err = v.stamping.says(r)
	return found, stamped, err
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

// isTrusted tells whether a seal is by a key that one trusts to be of that name.
func isTrusted(s *record.Sealed, trusted []seal.Signer) bool {
	return slices.ContainsFunc(trusted, func(t seal.Signer) bool { return t.Key == s.Key && slices.Contains(t.Names, s.By) })
}

// sealedByOne tells whether the end mark is by a key that one trusts.
func sealedByOne(found *record.Sealing, trusted []seal.Signer) bool {
	return found.Ended() && isTrusted(&found.Seals[len(found.Seals)-1], trusted)
}

// saysOf is what a verification says behind the first line, line by line.
func saysOf(found *record.Sealing, trusted []seal.Signer, asked bool) []string {
	if len(found.Seals) == 0 {
		return append(append([]string{", not sealed"}, setBack(found)...),
			"it cannot be known who wrote it, whether groups are missing from its end, or whether all of it was made anew by somebody who knows the format")
	}
	lines := append([]string{""}, byKey(found, trusted, asked)...)
	for _, mark := range found.Reopened() {
		lines = append(lines, fmt.Sprintf("it was closed on %s, and opened again: commits from %d on came later", sheet.Minute(mark.At), mark.In+1))
	}
	lines = append(lines, setBack(found)...)
	if found.Ended() {
		lines = append(lines, "its end is sealed: nothing is missing there")
	} else {
		lines = append(lines, fmt.Sprintf("its end is not sealed: nobody vouches for the last %d of %d commits, and more may be missing behind them", found.Open(), found.Groups))
	}
	return append(lines, "it cannot be known from the record alone whose a key is, whether the machine's clock was right, or whether who has the key made all of it anew")
}

func setBack(found *record.Sealing) (lines []string) {
	for _, number := range found.Backwards {
		lines = append(lines, fmt.Sprintf("the clock of the machine was set back before commit %d: times from there on say less", number))
	}
	return lines
}

// byKey says who sealed what, a line for each key and name.
func byKey(found *record.Sealing, trusted []seal.Signer, asked bool) (lines []string) {
	type signer struct {
		key    seal.Public
		name   string
		person bool
	}
	var order []signer
	of := map[signer][]*record.Sealed{}
	for k := range found.Seals {
		s := &found.Seals[k]
		who := signer{s.Key, s.By, s.Person}
		if of[who] == nil {
			order = append(order, who)
		}
		of[who] = append(of[who], s)
	}
	for _, who := range order {
		seals := of[who]
		last := seals[len(seals)-1]
		line := fmt.Sprintf("sealed by machine %s", who.name)
		if who.person {
			line = fmt.Sprintf("sealed by %s", who.name)
		}
		line += fmt.Sprintf(" (%s), %d times, the last time on %s: commits 1 to %d", who.key.Fingerprint(), len(seals), sheet.Minute(last.At), last.Group)
		if asked && isTrusted(last, trusted) {
			line += "; a key that you trust"
		} else if asked {
			line += "; no key that you trust to be his"
		}
		lines = append(lines, line)
	}
	return lines
}
