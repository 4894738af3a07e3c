package record

import (
	"fmt"
	"slices"
	"time"

	"arctally/acquire/seal"
)

// Says is what a record that is whole says of its seals, sentence by sentence; trusted are
// the keys that one trusts, where asked for. The last sentence is what cannot be known.
func (s *Sealing) Says(trusted []seal.Signer, asked bool) []string {
	if len(s.Seals) == 0 {
		return append(s.setBack(), "it is not sealed, and why is not known: perhaps its program was an older one or had no key, or somebody took the seals away",
			"it cannot be known who wrote it, whether groups are missing from its end, or whether all of it was made anew by somebody who knows the format")
	}
	lines := append(s.byKey(trusted, asked), s.twoKeys()...)
	for _, found := range s.Found {
		lines = append(lines, fmt.Sprintf("commits %d to %d were under no seal until %s, when %s went on: whether they are as they were written cannot be known",
			found.First, found.Last, minute(found.By.At), found.By.who()))
	}
	for _, mark := range s.Reopened() {
		lines = append(lines, fmt.Sprintf("it was closed on %s, and opened again: commits from %d on came later", minute(mark.At), mark.In+1))
	}
	lines = append(lines, s.setBack()...)
	if s.Ended() {
		lines = append(lines, fmt.Sprintf("its end is sealed: it was closed on %s, and nothing is missing before that", minute(s.Seals[len(s.Seals)-1].At)))
	} else {
		lines = append(lines, fmt.Sprintf("its end is not sealed: nobody vouches for the last %d of %d commits, and more may be missing behind them", s.Open(), s.Groups))
	}
	return append(lines, "it cannot be known from the record alone whose a key is, whether the machine's clock was right, whether somebody went on with it later and cut that off again, or whether who has the key made all of it anew")
}

// minute writes a time.
func minute(t time.Time) string { return t.UTC().Format("2006-01-02 15:04 UTC") }

// who says who sealed. A name has no quotes in it, so that none reads like a sentence of ours.
func (s *Sealed) who() string {
	if s.Person {
		return fmt.Sprintf("person %q", s.By)
	}
	return fmt.Sprintf("machine %q", s.By)
}

// IsTrusted tells whether a seal is by a key that one trusts to be of that name.
func (s *Sealed) IsTrusted(trusted []seal.Signer) bool {
	return slices.ContainsFunc(trusted, func(t seal.Signer) bool { return t.Key == s.Key && slices.Contains(t.Names, s.By) })
}

// Doubt says what of the record none of those vouches for whom one trusts; empty is nothing. The
// end is to be sealed by one of them, and all groups by the machine of one of them, which wrote
// them; and nobody else may seal under the name of a person whom one trusts.
func (s *Sealing) Doubt(trusted []seal.Signer) string {
	if !s.Ended() || !s.Seals[len(s.Seals)-1].IsTrusted(trusted) {
		return "none of the signers sealed its end"
	}
	for k := range s.Seals {
		one := &s.Seals[k]
		switch known := slices.ContainsFunc(trusted, func(t seal.Signer) bool { return slices.Contains(t.Names, one.By) }); {
		case one.IsTrusted(trusted):
		case !one.Person:
			return fmt.Sprintf("commit %d is sealed by %s, which is none of the signers", one.Group, one.who())
		case known:
			return fmt.Sprintf("commit %d is sealed by %s with another key than that of the signer", one.Group, one.who())
		}
	}
	if len(s.Found) > 0 {
		return fmt.Sprintf("commits %d to %d were under no seal when one of the signers went on with it", s.Found[0].First, s.Found[0].Last)
	}
	return ""
}

func (s *Sealing) setBack() (lines []string) {
	for _, number := range s.Backwards {
		lines = append(lines, fmt.Sprintf("the clock of the machine was set back before commit %d: times from there on say less", number))
	}
	return lines
}

// byKey says who sealed what, a line for each key and name.
func (s *Sealing) byKey(trusted []seal.Signer, asked bool) (lines []string) {
	for _, seals := range s.signers() {
		last := seals[len(seals)-1]
		line := fmt.Sprintf("sealed by %s (%s), %d times, the last time on %s: commits 1 to %d", last.who(), last.Key.Fingerprint(), len(seals), minute(last.At), last.Group)
		switch {
		case asked && last.IsTrusted(trusted):
			line += "; a key that you trust"
		case asked:
			line += "; no key that you trust to be his"
		}
		lines = append(lines, line)
	}
	return lines
}

// signers are the seals of each key under each name, in the order in which they came first.
func (s *Sealing) signers() (all [][]*Sealed) {
	for k := range s.Seals {
		one := &s.Seals[k]
		at := slices.IndexFunc(all, func(seals []*Sealed) bool { return seals[0].Key == one.Key && seals[0].who() == one.who() })
		if at < 0 {
			at, all = len(all), append(all, nil)
		}
		all[at] = append(all[at], one)
	}
	return all
}

// twoKeys says of whom there are several keys: one of them may be that of somebody else.
func (s *Sealing) twoKeys() (lines []string) {
	keys := map[string]int{}
	for _, seals := range s.signers() {
		who := seals[0].who()
		if keys[who]++; keys[who] == 2 {
			lines = append(lines, fmt.Sprintf("several keys say that they are of %s: ask which is", who))
		}
	}
	return lines
}
