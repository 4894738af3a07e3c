package draw

import (
	"html/template"
	"strings"
)

// elements writes a drawing layer by layer, each on a line of its own; an icon is one
// line. The numbers need no escaping, and the words get theirs here.
var elements = template.Must(template.New("drawing").Parse(`
{{- define "class"}}{{with .Class}} class="{{.}}"{{end}}{{end}}
{{- define "open"}}{{template "class" .}}{{if .Open}} fill="none"{{end}}{{end}}
{{- define "path"}}<path d="{{.Outline}}"{{template "open" .}}{{if .Title}}><title>{{.Title}}</title></path>{{else}}/>{{end}}{{end}}
{{- define "circle"}}<circle cx="{{.X}}" cy="{{.Y}}" r="{{.R}}"{{template "open" .}}/>{{end}}
{{- define "rect"}}<rect{{if .X.String | ne "0"}} x="{{.X}}" y="{{.Y}}"{{end}} width="{{.Width}}" height="{{.Height}}"{{template "class" .}}/>{{end}}
{{- define "text"}}<text x="{{.X}}"{{if .Shifted}}{{if .DX.String | ne "0"}} dx="{{.DX}}"{{end}} y="{{.Y}}" dy="{{.DY}}"{{else}} y="{{.Y}}"{{if .DX.String | ne "0"}} dx="{{.DX}}"{{end}}{{end}}{{template "class" .}}>{{.Words}}{{with .Title}}<title>{{.}}</title>{{end}}</text>{{end}}
{{- define "shapes"}}{{range .}}{{if eq .Tag "path"}}{{template "path" .}}{{else if eq .Tag "circle"}}{{template "circle" .}}{{else if eq .Tag "rect"}}{{template "rect" .}}{{else}}{{template "text" .}}{{end}}{{end}}{{end}}
{{- define "drawing"}}<svg{{with .Class}} class="{{.}}"{{end}} viewBox="{{.Box}}"{{if .Words}} role="img" aria-label="{{.Words}}">
{{range .Layers}}{{template "shapes" .}}
{{end}}{{else}} aria-hidden="true">{{range .Layers}}{{template "shapes" .}}{{end}}{{end}}</svg>{{end}}`))

// SVG renders a drawing for a page.
func (d *Drawing) SVG() template.HTML {
	var b strings.Builder
	if err := elements.ExecuteTemplate(&b, "drawing", d); err != nil {
		panic("draw: " + err.Error()) // the template knows every shape
	}
	return template.HTML(b.String())
}
