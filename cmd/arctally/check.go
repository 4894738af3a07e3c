package main

import (
	"context"
	"flag"
	"time"

	"arctally/acquire/calib"
	"arctally/report/sheet"
)

func checkCommand() command {
	return command{
		name:     "check",
		operands: "JOB.yaml|RECORD [CHECK] [key=value...]",
		summary:  "keeps a set-up check in the record, which corrects what comes after it; with a record alone, shows its checks",
		example: "arctally check job.yaml --record boom-pin.arctally meter channel=voltage reading=10.1V,20.3V,30.2V" +
			" reference=10V,20V,30V reference-uncertainty=0.02V instrument=\"meter 3\" certificate=C-44 due=2027-05-04\n\nChecks:\n" + checkUsage(),
		setUp: checkAction,
	}
}

func checkAction(flags *flag.FlagSet) action {
	var o checkOptions
	asJSON := false
	flags.StringVar(&o.record, "record", "", "keep the check in `RECORD`, which is made if it does not exist")
	flags.BoolVar(&o.live, "live", false, "take the readings from the port that the job names")
	flags.StringVar(&o.port, "port", "", "take the readings from `PORT`")
	flags.DurationVar(&o.length, "for", 5*time.Second, "average readings from the port over this `DURATION`")
	flags.DurationVar(&o.pause, "pause", 10*time.Second, "give a person this `DURATION` to set each reference before it is read")
	flags.BoolVar(&asJSON, "json", false, "write JSON for programs, in full precision")
	return func(ctx context.Context, screen *screen, operands []string) error {
		if len(operands) == 1 {
			return listChecks(screen, operands[0], o, asJSON)
		}
		return keepCheck(ctx, screen, operands, o, asJSON)
	}
}

// keepCheck carries out one check and puts it into the record.
func keepCheck(ctx context.Context, screen *screen, operands []string, o checkOptions, asJSON bool) error {
	jobFile, pairs := operands[0], operands[2:]
	k, err := checkKindOf(operands[1])
	if err != nil {
		return err
	}
	in, err := k.read(pairs)
	if err != nil {
		return err
	}
	if o.record == "" {
		return checkMisuse("no record: a check is kept in the record of its job, --record RECORD")
	}
	p, err := loadPlan(jobFile)
	if err != nil {
		return err
	}
	site := &checkSite{options: &o, screen: screen, plan: p, jobFile: jobFile, now: screen.now()}
	c, err := site.carryOut(ctx, k, in)
	if err != nil {
		return err
	}
	if asJSON {
		return sheet.ChecksJSON(screen.out, sheet.CheckList{Record: o.record, Job: p.job.Name, Checks: []*calib.Check{c}})
	}
	return sheet.WriteCheck(screen.out, len(site.checks)+1, c, site.now)
}

// listChecks shows what is on record.
func listChecks(screen *screen, file string, o checkOptions, asJSON bool) error {
	if o.record != "" || o.live || o.port != "" {
		return checkMisuse("which check? %s", checkNames())
	}
	list, err := readChecks(file)
	if err != nil {
		return err
	}
	if asJSON {
		return sheet.ChecksJSON(screen.out, list)
	}
	return sheet.WriteChecks(screen.out, list, screen.now())
}
