package main

import (
	"context"
	"flag"
	"strconv"
	"time"

	"arctally/acquire/calib"
	"arctally/cmd/internal/check"
	"arctally/cmd/internal/jobfile"
	"arctally/cmd/internal/terminal"
	"arctally/report/sheet"
	"arctally/report/text"
)

func checkCommand() command {
	return command{
		name:     "check",
		operands: "JOB.yaml|RECORD [CHECK] [key=value...]",
		summary:  "keeps a set-up check in the record, which corrects what comes after it; with a record alone, shows its checks",
		example: "arctally check job.yaml --record boom-pin.arctally meter channel=voltage reading=10.1V,20.3V,30.2V" +
			" reference=10V,20V,30V reference-uncertainty=0.02V instrument=\"meter 3\" certificate=C-44 due=2027-05-04\n\nChecks:\n" + check.Usage() + "\n" + check.TakeOverUsage(),
		setUp: checkAction,
	}
}

func checkAction(flags *flag.FlagSet) action {
	var o check.Options
	var units reviewFlags
	units.bindUnits(flags)
	asJSON := false
	flags.StringVar(&o.Record, "record", "", "keep the check in `RECORD`, which is made if it does not exist")
	flags.BoolVar(&o.Live, "live", false, "take the readings from the port that the job names")
	flags.StringVar(&o.Port, "port", "", "take the readings from `PORT`")
	flags.DurationVar(&o.Length, "for", 5*time.Second, "average readings from the port over this `DURATION`")
	flags.DurationVar(&o.Pause, "pause", 10*time.Second, "give a person this `DURATION` to set each reference before it is read")
	flags.BoolVar(&asJSON, "json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *terminal.Screen, operands []string) error {
		if len(operands) == 1 {
			return listChecks(screen, operands[0], o, &units, asJSON)
		}
		if operands[1] == check.TakeOver {
			return takeOver(screen, operands, o, &units, asJSON)
		}
		return keepCheck(ctx, screen, operands, o, &units, asJSON)
	}
}

// keepCheck carries out one check and puts it into the record.
func keepCheck(ctx context.Context, screen *terminal.Screen, operands []string, o check.Options, units *reviewFlags, asJSON bool) error {
	jobFile, pairs := operands[0], operands[2:]
	k, err := check.KindOf(operands[1])
	if err != nil {
		return err
	}
	in, err := k.Read(pairs)
	if err != nil {
		return err
	}
	if o.Record == "" {
		return check.Misuse("no record: a check is kept in the record of its job, --record RECORD")
	}
	p, err := jobfile.Read(jobFile)
	if err != nil {
		return err
	}
	site := &check.Site{Options: &o, Screen: screen, Job: p, JobFile: jobFile, Now: screen.Now()}
	c, err := site.CarryOut(ctx, k, in)
	if err != nil {
		return err
	}
	return showCheck(screen, site, c, units, asJSON)
}

// showCheck shows a check that was put on record.
func showCheck(screen *terminal.Screen, site *check.Site, c *calib.Check, units *reviewFlags, asJSON bool) error {
	if asJSON {
		return sheet.ChecksJSON(screen.Out, sheet.CheckList{Record: site.Options.Record, Job: site.Job.Job.Name, Checks: []*calib.Check{c}})
	}
	return text.Check(screen.Out, len(site.Checks)+1, sheet.ChecksIn([]*calib.Check{c}, time.Local)[0], units.units(site.Job.Job), site.Now)
}

// takeOver takes over a check that was made for another record, or shows which may be.
func takeOver(screen *terminal.Screen, operands []string, o check.Options, units *reviewFlags, asJSON bool) error {
	in, err := check.ReadTakeOver(operands[2:])
	switch {
	case err != nil:
		return err
	case o.Record == "":
		return check.Misuse("no record: a check is taken over into the record of its job, --record RECORD")
	case o.Live || o.Port != "":
		return check.Misuse("a check that is taken over reads nothing from the port: leave out --live and --port")
	case in.Has("number") && !in.Has("from"):
		return check.Misuse("number=%s: of which record? give from=RECORD", in.Text("number"))
	}
	p, err := jobfile.Read(operands[0])
	if err != nil {
		return err
	}
	site := &check.Site{Options: &o, Screen: screen, Job: p, JobFile: operands[0], Now: screen.Now()}
	if in.Has("number") {
		number, err := strconv.Atoi(in.Text("number"))
		if err != nil {
			return check.Misuse("number=%s: write the number of a check", in.Text("number"))
		}
		c, err := site.TakeOver(in.Text("from"), number, in.Text("by"))
		if err != nil {
			return err
		}
		return showCheck(screen, site, c, units, asJSON)
	}
	list, err := site.Offers(in.Text("from"))
	switch {
	case err != nil:
		return err
	case asJSON:
		return sheet.OffersJSON(screen.Out, list)
	default:
		return text.Offers(screen.Out, list, units.units(p.Job))
	}
}

// listChecks shows what is on record.
func listChecks(screen *terminal.Screen, file string, o check.Options, units *reviewFlags, asJSON bool) error {
	if o.Record != "" || o.Live || o.Port != "" {
		return check.Misuse("which check? %s", check.Names())
	}
	list, err := check.Read(file)
	if err != nil {
		return err
	}
	if asJSON {
		return sheet.ChecksJSON(screen.Out, list)
	}
	list.Checks = sheet.ChecksIn(list.Checks, time.Local)
	return text.Checks(screen.Out, list, units.or(list.Units), screen.Now())
}
