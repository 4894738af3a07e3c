package main

import (
	"bytes"
	"fmt"
	"os"
	"runtime/debug"
	"strings"

	cyclonedx "github.com/CycloneDX/cyclonedx-go"
)

// writeList writes the list. It has no number of its own and no time but that of the
// sources: the same program has the same list.
func writeList(o *options, info *debug.BuildInfo, parts []part) error {
	main := cyclonedx.Component{
		BOMRef: "arctally", Type: cyclonedx.ComponentTypeApplication, Name: "arctally", Version: o.version,
		Licenses: named([]string{"Apache-2.0"}), Properties: properties(settings(info)...),
	}
	var components []cyclonedx.Component
	var needs []string
	for k := range parts {
		p := &parts[k]
		c := cyclonedx.Component{
			BOMRef: p.url, Type: cyclonedx.ComponentTypeLibrary, Name: p.name, Version: p.version, PackageURL: p.url,
			Scope: cyclonedx.ScopeRequired, Licenses: named(p.licences),
		}
		if p.sum != "" {
			c.Properties = properties("sum", p.sum)
		}
		components = append(components, c)
		needs = append(needs, p.url)
	}
	list := cyclonedx.NewBOM()
	list.Metadata = &cyclonedx.Metadata{Timestamp: o.moment, Component: &main}
	list.Components = &components
	list.Dependencies = &[]cyclonedx.Dependency{{Ref: "arctally", Dependencies: &needs}}
	var text bytes.Buffer
	if err := cyclonedx.NewBOMEncoder(&text, cyclonedx.BOMFileFormatJSON).SetPretty(true).EncodeVersion(list, cyclonedx.SpecVersion1_6); err != nil {
		return err
	}
	return write(o.list, text.Bytes())
}

// settings are the name and the value of each setting that the program was built with.
func settings(info *debug.BuildInfo) (pairs []string) {
	pairs = []string{"go", info.GoVersion}
	for _, s := range info.Settings {
		pairs = append(pairs, s.Key, s.Value)
	}
	return pairs
}

// properties are what names and values in turn say beside the standard's own words.
func properties(pairs ...string) *[]cyclonedx.Property {
	var list []cyclonedx.Property
	for k := 0; k+1 < len(pairs); k += 2 {
		list = append(list, cyclonedx.Property{Name: "arctally:" + pairs[k], Value: pairs[k+1]})
	}
	return &list
}

// ownNames are those of licensecheck for texts that are in no list of SPDX.
var ownNames = map[string]string{"GooglePatentsFile": "Additional IP Rights Grant (Patents)"}

// named are licences by their names.
func named(names []string) *cyclonedx.Licenses {
	var list cyclonedx.Licenses
	for _, name := range names {
		of := &cyclonedx.License{ID: name}
		if own, is := ownNames[name]; is {
			of = &cyclonedx.License{Name: own}
		}
		list = append(list, cyclonedx.LicenseChoice{License: of})
	}
	return &list
}

// writeLicences writes all licences into one text, ours first.
func writeLicences(file string, parts []part) error {
	var text bytes.Buffer
	own, err := os.ReadFile("LICENSE")
	if err != nil {
		return err
	}
	letters, err := os.ReadFile("report/paper/layout/NOTICE")
	if err != nil {
		return err
	}
	text.WriteString("arctally is under the Apache License 2.0, whose text is the first below. It has parts in it that others made;\n")
	text.WriteString("under which terms each of them may be passed on stands below it.\n\n")
	section(&text, "arctally, LICENSE", own)
	section(&text, "arctally, NOTICE of the letters in dots", letters)
	for k := range parts {
		for _, t := range parts[k].texts {
			section(&text, fmt.Sprintf("%s %s, %s", parts[k].name, parts[k].version, t.file), t.text)
		}
	}
	return write(file, text.Bytes())
}

// section adds one licence under its name.
func section(to *bytes.Buffer, title string, text []byte) {
	rule := strings.Repeat("=", 100)
	fmt.Fprintf(to, "%s\n%s\n%s\n\n%s\n\n", rule, title, rule, bytes.TrimRight(text, "\n"))
}
