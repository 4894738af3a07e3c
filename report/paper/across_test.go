package paper

import (
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"arctally/acquire/series"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// sheets are the sheets of a PDF file as text.
func sheetsOf(t *testing.T, file []byte) []string {
	t.Helper()
	text := reader(t, file, "pdftotext", nil, "-")
	return strings.Split(strings.TrimSuffix(text, "\f"), "\f")
}

func simulatedInput() sheet.Input {
	in := sheettest.Decided()
	in.Source.Name = series.VirtualBox
	return in
}

// Who finds one loose sheet of a record that no arc made must see it; and no sheet of a
// real one may say so.
func TestPDF_SimulatedOnEverySheet(t *testing.T) {
	beside := sheettest.Decided()
	beside.Simulated = true // another box of the record was none
	for name, c := range map[string]struct {
		in   sheet.Input
		want bool
	}{"a real record": {sheettest.Decided(), false}, "a virtual box": {simulatedInput(), true}, "a virtual box beside": {beside, true}} {
		for _, format := range layout.Formats {
			file := pdf(t, sheet.New(c.in), sheet.Metric, format)
			sheets, pictures := sheetsOf(t, file), picturesOf(t, file)
			require.Greater(t, len(sheets), 5)
			require.Len(t, pictures, len(sheets))
			for k, text := range sheets {
				assert.Equal(t, c.want, strings.Contains(wordless(text), wordless(simulated)), "%s, %s, sheet %d: the words above the text", name, format, k+1)
				assert.Equal(t, c.want, faintDots(t, pictures[k]) > 100, "%s, %s, sheet %d: the words across", name, format, k+1)
			}
		}
	}
}

// picturesOf are the sheets of a PDF file as another reader paints them.
func picturesOf(t *testing.T, file []byte) (pictures []image.Image) {
	t.Helper()
	stem := filepath.Join(t.TempDir(), "sheet")
	reader(t, file, "pdftoppm", []string{"-r", "24", "-png"}, stem)
	names, err := filepath.Glob(stem + "-*.png")
	require.NoError(t, err)
	for _, name := range names { // in the order of the sheets: the numbers have leading zeros
		f, err := os.Open(name)
		require.NoError(t, err)
		picture, err := png.Decode(f)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		pictures = append(pictures, picture)
	}
	return pictures
}

// faintDots counts the dots in the ink of the words across.
func faintDots(t *testing.T, picture image.Image) (count int) {
	t.Helper()
	style, err := readStyle()
	require.NoError(t, err)
	ink := style.Ink("faint")
	for y := picture.Bounds().Min.Y; y < picture.Bounds().Max.Y; y++ {
		for x := picture.Bounds().Min.X; x < picture.Bounds().Max.X; x++ {
			if r, g, b, _ := picture.At(x, y).RGBA(); int(r>>8) == ink.R && int(g>>8) == ink.G && int(b>>8) == ink.B {
				count++
			}
		}
	}
	return count
}

func TestHTML_Simulated(t *testing.T) {
	html := page(t, simulatedInput())
	assert.Contains(t, html, `<p class="simulated">`+simulated)
	assert.Contains(t, html, `@top-center{content:"`+simulated+`"`)
	assert.NotContains(t, page(t, sheettest.Decided()), simulated)
}

// A browser prints it on every sheet, too.
func TestHTML_SimulatedOnEverySheetPrinted(t *testing.T) {
	for want, in := range map[bool]sheet.Input{true: simulatedInput(), false: sheettest.Decided()} {
		sheets := sheetsOf(t, browserPrint(t, page(t, in)))
		require.Greater(t, len(sheets), 5)
		for k, text := range sheets {
			assert.Equal(t, want, strings.Contains(wordless(text), wordless(simulated)), "sheet %d", k+1)
		}
	}
}

// browserPrint has a browser print a page; it skips without one.
func browserPrint(t *testing.T, html string) []byte {
	t.Helper()
	if testing.Short() {
		t.Skip("it starts a browser")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		t.Skip("chromium is not installed, so that no browser has printed this page")
	}
	folder := t.TempDir()
	path, printed := filepath.Join(folder, "record.html"), filepath.Join(folder, "record.pdf")
	require.NoError(t, os.WriteFile(path, []byte(html), 0o600))
	out, err := exec.Command(browser, "--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update",
		"--user-data-dir="+filepath.Join(folder, "profile"), "--no-pdf-header-footer", "--print-to-pdf="+printed, "file://"+path).CombinedOutput()
	require.NoError(t, err, string(out))
	file, err := os.ReadFile(printed)
	require.NoError(t, err)
	return file
}
