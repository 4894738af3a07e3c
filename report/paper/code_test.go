package paper

import (
	"bytes"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/report/paper/layout"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// scanned is what another program reads from the code on a picture.
func scanned(t *testing.T, picture string) string {
	t.Helper()
	zbar, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("zbarimg is not installed (Debian: zbar-tools), so nobody has read the code")
	}
	out, err := exec.Command(zbar, "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", picture).Output()
	require.NoError(t, err)
	return strings.TrimSpace(string(out))
}

// The head of the record stands on the certificate as text, and as a code that another
// program reads from the printed sheet, from a coarse copy of it too.
func TestCertificate_CodeOfTheHead(t *testing.T) {
	in := sheettest.Decided()
	in.Fingerprint = strings.Repeat("5f0c9e1d77aa0b42", 4)
	s := sheet.New(in)
	for _, format := range layout.Formats {
		for kind, file := range map[string][]byte{"whole": pdf(t, s, sheet.Metric, format), "alone": certificatePDF(t, s, nil, format)} {
			assert.Contains(t, wordless(textOf(t, file)), in.Fingerprint)
			stem := filepath.Join(t.TempDir(), "sheet")
			for _, dots := range []string{"300", "150"} {
				reader(t, file, "pdftoppm", []string{"-r", dots, "-png", "-singlefile"}, stem)
				assert.Equal(t, sheet.HeadText(in.Fingerprint), scanned(t, stem+".png"), "%s, %s, %s dots an inch", kind, format, dots)
			}
		}
	}
	read, ok := sheet.ReadHead(sheet.HeadText(in.Fingerprint))
	require.True(t, ok)
	assert.Len(t, read, 32)
	var page bytes.Buffer
	require.NoError(t, With{}.HTML(&page, s, sheet.Metric))
	assert.Contains(t, page.String(), `aria-label="QR code of the head: `+sheet.HeadText(in.Fingerprint)+`"`)
}

// The code has the modules that its room on paper is reckoned for, the quiet zone among them.
func TestCertificate_CodeHasItsRoom(t *testing.T) {
	in := sheettest.Decided()
	in.Fingerprint = strings.Repeat("5f0c9e1d77aa0b42", 4)
	c := recordOf(sheet.New(in), sheet.Metric, With{}).certificate()
	require.NotNil(t, c.Code)
	assert.Equal(t, "0 0 41 41", c.Code.Box.String(), "33 modules, and 4 on each side")
	assert.LessOrEqual(t, codeWidth-2*codeEdge, glyphWidth, "it takes no height of its own")
	in.Fingerprint = ""
	assert.Nil(t, recordOf(sheet.New(in), sheet.Metric, With{}).certificate().Code)
}
