package paper

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"

	"arctally/analyze/inspect"
	"arctally/report/paper/layout"
)

// photograph is one picture with its words.
type photograph struct {
	Title, Caption, SHA256, Why string   // Why it cannot be shown
	Also                        []string // other entries that show it
	Source                      template.URL
	content                     []byte
}

// photographs are pictures below a heading of their own.
type photographs []photograph

// photographsAcross is how many stand side by side on paper.
const photographsAcross = 3

func (photographs) kind() string { return "photographs" }

// Heading is that of the pictures.
func (photographs) Heading() subheading { return "Photographs" }

// Digest is what tells the bytes of a picture from any others.
func (p *photograph) Digest() string { return "SHA-256 " + p.SHA256 }

func (p photographs) print(d *layout.Document) {
	pictures := make([]layout.Picture, len(p))
	for k := range p {
		pictures[k] = p[k].printed()
	}
	first := min(photographsAcross, len(pictures))
	d.Keep(func() {
		p.Heading().print(d)
		d.Pictures(pictures[:first])
	})
	d.Pictures(pictures[first:])
}

func (p *photograph) printed() layout.Picture {
	words := []layout.Part{{Text: p.Title, Bold: true}}
	if p.Caption != "" {
		words = append(words, layout.Part{Text: p.Caption})
	}
	for _, also := range p.Also {
		words = append(words, layout.Part{Text: also})
	}
	words = append(words, layout.Part{Text: p.Digest(), Mono: true, Grey: true})
	return layout.Picture{Name: p.SHA256, Content: p.content, Words: words, Missing: p.Why}
}

// photographs are the pictures of all entries that stand or once stood, each once, with
// the words of every entry that has it.
func (r *record) photographs() (all photographs) {
	seen := map[string]int{}
	first := map[string]*inspect.Entry{}
	take := func(title string, e *inspect.Entry) {
		for _, p := range e.Photographs {
			at, again := seen[p.SHA256]
			if again && first[p.SHA256].SameAct(e) {
				continue // one act about several findings
			}
			if again {
				all[at].Also = append(all[at].Also, "Also "+strings.TrimSuffix(title+": "+p.Caption, ": "))
				continue
			}
			seen[p.SHA256], first[p.SHA256] = len(all), e
			all = append(all, r.photograph(title, p))
		}
	}
	for i := range r.Book.Findings {
		history := r.Book.Findings[i].History
		for k := range history {
			take(fmt.Sprintf("Event %d, finding %d, entry %d", r.Findings[i].Event, r.Findings[i].Number, history[k].Number), &history[k].Entry)
		}
	}
	for i := range r.Book.Orphans {
		history := r.Book.Orphans[i].History
		for k := range history {
			take(fmt.Sprintf("Former finding %d, entry %d", r.Book.Orphans[i].Of.Number, history[k].Number), &history[k].Entry)
		}
	}
	for k := range r.Book.Machinings {
		e := &r.Book.Machinings[k].Entry
		take(fmt.Sprintf("%s, entry %d", machinedHeading, e.Number), e)
	}
	return all
}

func (r *record) photograph(title string, p inspect.Photograph) photograph {
	v := photograph{Title: title, Caption: p.Caption, SHA256: p.SHA256}
	if r.Photograph == nil {
		v.Why = "The picture is in the record only."
		return v
	}
	mime, content, ok := r.Photograph(p.SHA256)
	switch {
	case !ok:
		v.Why = "The record does not have this picture."
	case len(content) == 0 && (mime == "image/jpeg" || mime == "image/png"):
		v.Why = "This picture is broken, and cannot be shown."
	case mime != "image/jpeg" && mime != "image/png":
		v.Why = "This kind of picture cannot be shown here: " + strings.TrimSpace(mime) + "."
	default:
		// The media type is one of two, and base64 has no character that means anything here.
		v.Source = template.URL("data:" + mime + ";base64," + base64.StdEncoding.EncodeToString(content))
		v.content = content
	}
	return v
}
