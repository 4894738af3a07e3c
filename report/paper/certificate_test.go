package paper

import (
	"bytes"
	"fmt"
	stdhtml "html"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/analyze/inspect"
	"arctally/analyze/procedure"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// extreme is a job of which every text is as long as it may be, or longer, in a letter.
func extreme(letter string) *sheet.Sheet {
	in := sheettest.Decided()
	long := strings.Repeat(letter, 120)
	in.Job.Name = strings.Repeat(letter, 900)
	in.Job.Customer = procedure.Customer{Name: long, Order: long}
	in.Job.Machine = procedure.Machine{Name: long, Serial: long}
	in.Job.People = procedure.People{Operator: strings.Repeat(letter, 500), Inspector: strings.Repeat(letter, 500)}
	in.Job.Procedure.Name, in.Job.Consumables.Wire, in.Job.Consumables.Gas = strings.Repeat(letter, 700), long, long
	in.RecordName, in.Fingerprint, in.Source.Name = strings.Repeat(letter, 250), strings.Repeat("f", 64), series.VirtualBox
	m := sheettest.Machining()
	m.CleanedUp, m.Where = inspect.NotAllRound, strings.Repeat(letter, 400)
	in.Entries = append(in.Entries, inspect.Entry{Number: len(in.Entries) + 1, By: strings.Repeat(letter, 300), Machining: m})
	in.Integrity.Damage = strings.Repeat(letter, 600)
	return sheet.New(in)
}

// ownHead is the largest letterhead that there may be.
func ownHead(t *testing.T) *Letterhead {
	t.Helper()
	logo, err := layout.NewLogo(sheettest.Pictures()["image/png"])
	require.NoError(t, err)
	logo.Width, logo.Height = 1000, 1000 // as high as it may stand
	lines := make([]string, 5)
	for k := range lines {
		lines[k] = strings.Repeat("W", 80)
	}
	return &Letterhead{logo, lines}
}

// The certificate has its signatures and nothing else stands on its sheet, whatever the job
// says, on both sizes of paper; and what it has no room for stands in full behind it.
func TestCertificate_OnOneSheet(t *testing.T) {
	cases := map[string]*sheet.Sheet{
		"nothing": sheet.New(sheet.Input{Job: &procedure.Job{}}), "usual": sheet.New(sheettest.Decided()),
		"W": extreme("W"), "words": extreme("mill "), "chinese": extreme("\u710a"), "numbered": extreme("\u0905"), "new lines": extreme("a\n"),
	}
	for name, s := range cases {
		for _, head := range []*Letterhead{nil, ownHead(t)} {
			for _, format := range layout.Formats {
				sheets := sheetsOf(t, certificatePDF(t, s, head, format))
				label := fmt.Sprintf("%s on %s, letterhead %v", name, format, head != nil)
				first, behind := wordless(sheets[0]), wordless(strings.Join(sheets[1:], ""))
				for _, words := range []string{strings.ToUpper(certificateKind), "Customer", "Serial of the machine", "What is open", "Fingerprint of the record", "Engineer", "signature", "page 1 of"} {
					assert.Contains(t, first, wordless(words), label)
					assert.NotContains(t, behind, wordless("Engineer"), label)
				}
				assert.Equal(t, strings.Contains(first, shortenedMark), strings.Contains(behind, wordless("Shortened on the certificate, in full")), label)
			}
		}
	}
}

// certificatePDF is the certificate alone, with what it had no room for.
func certificatePDF(t *testing.T, s *sheet.Sheet, head *Letterhead, format layout.Format) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, With{Head: head}.CertificatePDF(&b, s, sheet.US, format))
	return b.Bytes()
}

// Alone it says the same as before the weld record, but for where the rest is; a second sheet comes only where one is needed.
func TestCertificatePDF(t *testing.T) {
	in := sheettest.Decided() // its findings take more than the sheet has room for
	in.Result.Findings, in.Entries = nil, nil
	in.Fingerprint = strings.Repeat("5f0c9e1d77aa0b42", 4)
	for name, s := range map[string]*sheet.Sheet{"usual": sheet.New(in), "extreme": extreme("W")} {
		for _, format := range layout.Formats {
			alone := sheetsOf(t, certificatePDF(t, s, ownHead(t), format))
			var b bytes.Buffer
			require.NoError(t, With{Head: ownHead(t)}.PDF(&b, s, sheet.US, format))
			whole := sheetsOf(t, b.Bytes())
			const there, here = "(Cautions)standintheweldrecordthatgoeswithit.", "(Cautions)follow."
			first := func(sheets []string) string {
				text, foot, ok := strings.Cut(wordless(sheets[0]), "page1of")
				require.True(t, ok, foot)
				return text
			}
			require.Contains(t, first(alone), there)
			require.Contains(t, first(whole), here)
			if name == "usual" {
				require.Len(t, alone, 1, format)
				assert.Equal(t, strings.Replace(first(whole), here, there, 1), first(alone), format)
			} else {
				require.Contains(t, wordless(alone[1]), wordless("Shortened on the certificate, in full"))
			}
			require.Less(t, len(alone), len(whole))
		}
	}
}

// What was shortened is there in full, letter by letter.
func TestCertificate_NothingIsLost(t *testing.T) {
	s := extreme("W")
	text := wordless(textOf(t, certificatePDF(t, s, nil, layout.A4)))
	html := wordless(stdhtml.UnescapeString(regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`).ReplaceAllString(sheettest.Render(t, pageOf(s)), "")))
	all := 0
	for _, whole := range []string{s.Job.Name, s.Job.Procedure.Name, s.Job.People.Inspector, s.Record, s.Job.Customer.Order} {
		assert.Contains(t, html, whole)
		all += len(whole)
	}
	assert.Greater(t, strings.Count(text, "W"), all, "whole texts go over several lines and sheets there")
}

// A browser keeps it on one sheet, too.
func TestCertificate_OnOneSheetPrintedByABrowser(t *testing.T) {
	for name, s := range map[string]*sheet.Sheet{"usual": sheet.New(sheettest.Decided()), "W": extreme("W"), "chinese": extreme("\u710a")} {
		var b strings.Builder
		require.NoError(t, With{Head: ownHead(t)}.HTML(&b, s, sheet.Metric))
		sheets := sheetsOf(t, browserPrint(t, b.String()))
		assert.Contains(t, wordless(sheets[0]), wordless("Engineer: name, signature, date"), name)
		assert.NotContains(t, wordless(sheets[1]), wordless("Engineer: name, signature, date"), name)
		assert.NotContains(t, wordless(sheets[0]), "Verdict", name)
	}
}

func TestShortened(t *testing.T) {
	for _, c := range []struct {
		text    string
		columns int
		want    string
	}{
		{"", 40, ""},
		{"short", 5, "short"},
		{"one two three four five", 20, "one two three ...*"},
		{"abcdefghijklmnopqrstuvwxyz", 15, "abcdefghij ...*"},
		{strings.Repeat("\u710a", 20), 15, strings.Repeat("\u710a", 5) + " ...*"},
	} {
		got, cut := shortened(c.text, c.columns)
		assert.Equal(t, c.want, got)
		assert.Equal(t, c.text != c.want, cut)
		assert.LessOrEqual(t, columnsOf(got), max(c.columns, columnsOf(c.text)))
	}
}

// The words of the certificate never say more than what is proved, nor less than what is open.
func TestCertificate_Words(t *testing.T) {
	c := sheet.New(sheettest.Decided()).Certificate(sheet.Metric)
	text := map[string]string{}
	for _, row := range append(append(c.Whose, c.What...), c.Rows...) {
		text[row.Name] = row.Text
	}
	assert.Equal(t, "not stated", text["Customer"])
	assert.Equal(t, "92.00 mm", text["Bore before, worn"])
	assert.Equal(t, "86.00 mm; 4 layers laid", text["Welded to, as planned"])
	assert.Equal(t, "TEST-01 rev 3, MAG", text["Procedure, revision"])
	assert.Contains(t, text["Bore after machining"], "wanted 90.000 mm to 90.035 mm")
	assert.Contains(t, text["What is open"], "event 5, ")
	assert.NotContains(t, text["What is open"], "event 1, ", "it was accepted")
	assert.Equal(t, sheet.New(sheettest.Decided()).Banner(sheet.Metric), c.Truths)
}
