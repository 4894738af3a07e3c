package paper

import (
	"fmt"
	stdhtml "html"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"arctally/analyze/procedure"
	"arctally/report/draw"
	"arctally/report/paper/layout"
	"arctally/report/sheet"
	"arctally/report/sheet/sheettest"
)

// said is every word of a block, as a reader must find it.
func said(t *testing.T, b block) (words []string) {
	t.Helper()
	several := func(blocks []block) {
		for _, one := range blocks {
			words = append(words, said(t, one)...)
		}
	}
	keys := func(keys []draw.Key) {
		for _, key := range keys {
			words = append(words, key.Words)
		}
	}
	switch b := b.(type) {
	case sentence, strong, note, subheading, digest:
		return []string{fmt.Sprint(b)}
	case headline:
		return []string{b.Text}
	case lead:
		return []string{b.Head + b.Text}
	case leads:
		for _, one := range b {
			words = append(words, one.Head+one.Text)
		}
	case bullets:
		return b.Items
	case places:
		return append([]string{b.Head}, b.Lines...)
	case *table:
		return tableWords(b)
	case facts:
		for _, g := range b {
			words = append(words, g.Title)
			for _, f := range g.Facts {
				words = append(words, f.Label, f.Value)
			}
		}
	case counts:
		for _, v := range b {
			words = append(words, v.Sentence)
		}
	case chart:
		return []string{b.Title}
	case charts:
		for _, one := range b.Figures {
			words = append(words, one.Title)
		}
		if len(b.Figures) > 0 {
			words = append(words, b.Note)
		}
	case legend:
		keys(b)
	case pinLegend:
		keys(b)
	case wallMap:
		keys(b.Keys)
		words = append(words, b.Title, b.Note)
	case flatWall:
		return []string{b.Note}
	case *endView:
		several(b.beside)
		words = append(words, b.Note)
	case sweeps:
		for _, f := range b {
			words = append(append(words, f.Title), f.Lines...)
		}
	case waves:
		for _, f := range b {
			words = append(append(words, f.Title), f.Lines...)
		}
	case photographs:
		return photographWords(b)
	case signatures:
		words = append(append(words, b...), signed[:]...)
	case group:
		several(b)
	default:
		t.Fatalf("nobody says which words are in a %T", b)
	}
	return words
}

func photographWords(b photographs) []string {
	words := []string{string(b.Heading())}
	for _, p := range b {
		words = append(append(words, p.Title, p.Caption, p.Digest(), p.Why), p.Also...)
	}
	return words
}

func tableWords(b *table) (words []string) {
	for _, c := range b.Columns {
		words = append(words, c.Name)
	}
	for _, r := range b.Rows {
		for _, c := range r.Cells {
			for _, p := range c {
				words = append(words, p.Text)
			}
		}
	}
	return words
}

// wordsOf are those of all sections for one of the renderers.
func wordsOf(t *testing.T, r *record, page bool) (words []string) {
	t.Helper()
	for _, s := range r.sections() {
		words = append(words, s.Heading)
		for _, b := range s.blocks {
			switch alone := b.(type) {
			case onPage:
				if !page {
					continue
				}
				b = alone.block
			case onPaper:
				if page {
					continue
				}
				b = alone.block
			}
			words = append(words, said(t, b)...)
		}
	}
	return words
}

// What is in the list of sections is on the page and on the paper, whatever the job.
func TestSections_EveryWordIsOnPageAndPaper(t *testing.T) {
	shorting := sheettest.Decided()
	for k := range shorting.Result.Passes {
		shorting.Result.Passes[k].Waveform = sheettest.Shorting()
	}
	orphans := sheettest.Decided()
	orphans.Result.Findings, orphans.Checks = orphans.Result.Findings[2:], sheettest.Checks()
	for name, s := range map[string]*sheet.Sheet{
		"no map": sheettest.New(), "shorting": sheet.New(shorting), "orphans": sheet.New(orphans), "course": sheettest.Coursed(), "by angle": sheettest.BySweep(),
		"nothing": sheet.New(sheet.Input{Job: &procedure.Job{}}),
	} {
		u := sheet.Metric
		if name == "shorting" {
			u = sheet.US
		}
		r := recordOf(s, u, With{})
		html := sheettest.Render(t, pageIn(s, u))
		page := wordless(stdhtml.UnescapeString(regexp.MustCompile(`(?s)<style>.*?</style>|<[^>]*>`).ReplaceAllString(html, "")))
		for _, words := range wordsOf(t, r, true) {
			assert.True(t, strings.Contains(page, wordless(words)), "%s: not on the page: %s", name, words)
		}
		foot := regexp.MustCompile(`page\d+of\d+` + regexp.QuoteMeta(wordless(sheet.OrDash(s.Job.Name)+"\u00b7"+r.mark())))
		paper := foot.ReplaceAllString(wordless(textOf(t, pdf(t, s, u, layout.A4))), "") // a sentence may go on behind it
		for _, words := range wordsOf(t, r, false) {
			assert.True(t, strings.Contains(paper, wordless(words)), "%s: not on paper: %s", name, words)
		}
	}
}
