package bundling

import (
	"encoding/hex"

	"arctally/acquire/record"
	"arctally/acquire/seal"
	"arctally/cmd/internal/explain"
	"arctally/report/handover"
)

// notClosed is a record that cannot be handed over yet.
func notClosed(file, why, next string) error {
	return &explain.Error{Kind: explain.InTheWay, Text: file + ": not handed over: " + why, Next: next, OnPage: next}
}

const (
	endIt  = "end the recording; one that was cut off is gone on with by arctally record --append, and ended"
	sealIt = "records without seals come from a machine without a key (arctally key) or from an older program: put an entry on it by arctally inspect, on a machine that seals"
)

// closed reads the record through, and says which one it is, if it is whole and has its end mark.
func closed(file string, r *record.Reader) (of handover.Subject, found *record.Sealing, err error) {
	if !r.Lasting() {
		return of, nil, notClosed(file, "it is being written, or was and was not ended", endIt)
	}
	if found, err = r.VerifySeals(); err != nil {
		return of, nil, err
	}
	if !found.Ended() {
		if len(found.Seals) == 0 {
			return of, nil, notClosed(file, "no seal is in it, so that nothing says that it was ended", sealIt)
		}
		return of, nil, notClosed(file, "there is no end mark at its end", endIt)
	}
	last := found.Seals[len(found.Seals)-1]
	meta := r.Meta()
	return handover.Subject{
		Digest: hex.EncodeToString(found.Head[:]), Record: last.Record, Commits: found.Groups,
		Job: meta.Job, Procedure: meta.Procedure, Closed: last.At.UTC(),
	}, found, nil
}

// sealsOf are the seals as files that ssh-keygen verifies: the end mark, those that vouch for entries,
// and the keys that set any.
func sealsOf(found *record.Sealing) []handover.File {
	var files []handover.File
	sealed := func(name, about string, s *record.Sealed) {
		files = append(files,
			textFile(name+".txt", "text/plain", about+", as text", s.Text()),
			textFile(name+".txt.sig", "text/plain", about+", its signature, for ssh-keygen -Y verify -n "+seal.Namespace, seal.Armor(s.Signature)))
	}
	var signers string
	known := map[seal.Public]bool{}
	for k := range found.Seals {
		s := &found.Seals[k]
		if !known[s.Key] {
			known[s.Key] = true
			signers += seal.Signer{Names: []string{s.By}, Key: s.Key}.Line() + "\n"
		}
		switch {
		case k == len(found.Seals)-1:
			sealed("seals/end", "the seal of the end", s)
		case s.Mark == seal.Entry:
			sealed("seals/"+entryName(s, k), "a seal that vouches for entries of people", s)
		}
	}
	return append(files, textFile("seals/signers.txt", "text/plain",
		"the keys by which the record was sealed, as lines of allowed signers; whose they are has to be asked of who has them", signers))
}
