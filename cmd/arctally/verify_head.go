package main

import (
	"crypto/sha256"
	"fmt"

	"arctally/acquire/record"
	"arctally/cmd/internal/explain"
	"arctally/report/sheet"
)

// headOf reads a head that somebody typed, or had read from a paper.
func headOf(said string) (head [sha256.Size]byte, err error) {
	read, ok := sheet.ReadHead(said)
	if !ok || len(read) != len(head) {
		return head, &explain.MisuseError{Command: "verify", Text: fmt.Sprintf("--head: %q is no head: type its %d figures, or what the code on the certificate says", said, 2*len(head))}
	}
	return [sha256.Size]byte(read), nil
}

// headSays holds a head that stands on paper against a record of so many commits that is whole:
// what of it the paper was made of, what came later, and what no head can tell.
func headSays(r *record.Reader, file, said string, commits int64) (says []string, err error) {
	if said == "" {
		return nil, nil
	}
	head, err := headOf(said)
	if err != nil {
		return nil, err
	}
	group, err := r.GroupOf(head)
	switch {
	case err != nil:
		return nil, err
	case group == 0:
		return nil, &explain.Error{
			Kind: explain.Unfit, Text: file + ": the record is whole, but it never had the head on the paper: the paper is of another record, or somebody made this one anew; which of them cannot be known from here",
			Next: "hold the name of the record on the paper against this file, and ask who made the paper for his copy",
		}
	case group == commits:
		says = []string{fmt.Sprintf("the head on the paper is that of this record as it is: the paper was made of commits 1 to %d, and nothing was added since", group)}
	default:
		says = []string{fmt.Sprintf("the head on the paper is that of this record after commit %d: the paper was made of commits 1 to %d; commits %d to %d were added later, and the paper knows nothing of them", group, group, group+1, commits)}
	}
	return append(says, "it cannot be known from the head whether the figures printed beside it were changed: make the report again, and compare"), nil
}
