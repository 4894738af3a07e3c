package main

import (
	"crypto/sha256"
	"crypto/x509"
	"errors"
	"fmt"
	"os"

	"arctally/acquire/record"
	"arctally/acquire/stamp"
	"arctally/cmd/internal/explain"
	"arctally/report/sheet"
)

// stamping is what was asked for of the time stamp of somebody else.
type stamping struct{ request, reply, authority string }

// ask puts what a time-stamping service is to be asked into a file: that it saw the head
// of the record.
func (s *stamping) ask(head [sha256.Size]byte) error {
	if s.request == "" {
		return nil
	}
	request, err := stamp.Request(head)
	return errors.Join(err, write(s.request, string(request)))
}

// says reads the reply of a service, and says what it shows.
func (s *stamping) says(r *record.Reader) (string, error) {
	if s.reply == "" {
		return "", nil
	}
	refuse := func(what string) error {
		return &explain.Error{Kind: explain.Unfit, Text: s.reply + ": " + what, Next: "give the reply to what --stamp-request wrote of this record, and with --authority the certificate of who vouches for the service"}
	}
	reply, err := os.ReadFile(s.reply)
	if err != nil {
		return "", err
	}
	authorities := x509.NewCertPool()
	if s.authority != "" {
		file, err := os.ReadFile(s.authority)
		if err != nil {
			return "", err
		}
		if !authorities.AppendCertsFromPEM(file) {
			return "", refuse(s.authority + " holds no certificate")
		}
	}
	shown, err := stamp.Verify(reply, authorities)
	if err != nil {
		return "", refuse(err.Error())
	}
	group, err := r.GroupOf(shown.Head)
	if err != nil {
		return "", err
	}
	if group == 0 {
		return "", refuse("it is the time stamp of another record, or of another state of this one")
	}
	return fmt.Sprintf("commits 1 to %d were there on %s, says the time-stamping service %s", group, sheet.Minute(shown.At), shown.By), nil
}
