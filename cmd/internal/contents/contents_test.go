package main

import (
	"bytes"
	"debug/buildinfo"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shape is the published schema of the list, which the library for it brings along, and with
// it those of the names of licences and of signatures: nothing is fetched.
func shape(t *testing.T) *jsonschema.Schema {
	t.Helper()
	folder, err := exec.CommandContext(t.Context(), "go", "list", "-m", "-f", "{{.Dir}}", "github.com/CycloneDX/cyclonedx-go").Output()
	require.NoError(t, err)
	compiler := jsonschema.NewCompiler()
	compiler.UseLoader(jsonschema.SchemeURLLoader{})
	for url, file := range map[string]string{
		"http://cyclonedx.org/schema/bom-1.6.schema.json": "bom-1.6.schema.json", "http://cyclonedx.org/schema/spdx.schema.json": "spdx.schema.json",
		"http://cyclonedx.org/schema/jsf-0.82.schema.json": "jsf-0.82.schemax.json",
	} {
		text, err := os.Open(filepath.Join(strings.TrimSpace(string(folder)), "schema", file))
		require.NoError(t, err)
		known, err := jsonschema.UnmarshalJSON(text)
		require.NoError(t, err)
		require.NoError(t, text.Close())
		require.NoError(t, compiler.AddResource(url, known))
	}
	s, err := compiler.Compile("http://cyclonedx.org/schema/bom-1.6.schema.json")
	require.NoError(t, err)
	return s
}

// listed is the list of this test's own program, which has what the whole program has of
// modules in it only where the test imports it.
func listed(t *testing.T) (list, licences []byte) {
	t.Helper()
	own, err := os.Executable()
	require.NoError(t, err)
	folder := t.TempDir()
	o := options{program: own, version: "1.2.3", pages: "report/page", moment: "2026-03-02T12:00:00Z", list: filepath.Join(folder, "list.json"), licences: filepath.Join(folder, "licences")}
	require.NoError(t, o.run())
	list, err = os.ReadFile(o.list)
	require.NoError(t, err)
	licences, err = os.ReadFile(o.licences)
	require.NoError(t, err)
	return list, licences
}

func TestList_HasItsPublishedShape(t *testing.T) {
	t.Chdir("../../..")
	if _, err := os.Stat("report/page/node_modules/uplot"); err != nil {
		t.Skip("the packages of the pages are not here: make pages fetches them")
	}
	list, licences := listed(t)
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(list))
	require.NoError(t, err)
	s := shape(t)
	require.NoError(t, s.Validate(value))
	damaged, err := jsonschema.UnmarshalJSON(strings.NewReader(strings.Replace(string(list), `"id": "MIT"`, `"id": "GooglePatentsFile"`, 1)))
	require.NoError(t, err)
	require.Error(t, s.Validate(damaged), "a licence that SPDX does not name is no name")

	var read struct {
		Metadata   struct{ Timestamp, Component any }
		Components []struct {
			Name, Version, Purl, Scope string
			Licenses                   []struct{ License struct{ ID, Name string } }
			Properties                 []struct{ Name, Value string }
		}
		Dependencies []struct{ DependsOn []string }
	}
	require.NoError(t, json.Unmarshal(list, &read))
	assert.Equal(t, "2026-03-02T12:00:00Z", read.Metadata.Timestamp)
	own, err := os.Executable()
	require.NoError(t, err)
	info, err := buildinfo.ReadFile(own)
	require.NoError(t, err)
	require.Len(t, read.Components, len(info.Deps)+2, "every module, what Go brings, and one package")
	assert.Len(t, read.Dependencies[0].DependsOn, len(read.Components))
	for k, m := range info.Deps {
		c := read.Components[k+1]
		assert.Equal(t, []string{m.Path, m.Version, "pkg:golang/" + m.Path + "@" + m.Version, "required", m.Sum}, []string{c.Name, c.Version, c.Purl, c.Scope, c.Properties[0].Value})
		assert.NotEmpty(t, c.Licenses)
		assert.Contains(t, string(licences), "\n"+m.Path+" "+m.Version+", ")
	}
	assert.Equal(t, "std", read.Components[0].Name)
	last := read.Components[len(read.Components)-1]
	assert.Equal(t, "uplot", last.Name)
	assert.Equal(t, "pkg:npm/uplot@"+last.Version, last.Purl)
	assert.Equal(t, "MIT", last.Licenses[0].License.ID)
	assert.Contains(t, last.Properties[0].Value, "sha512-")
	for _, text := range []string{"Apache License", "Baekmuk", "Leon Sorokin"} {
		assert.Contains(t, string(licences), text)
	}
	again, _ := listed(t)
	assert.Equal(t, list, again, "the same program has the same list")
}

// What the pages take from packages is found in their sources; what none of them imports is
// in no program.
func TestBundled(t *testing.T) {
	pages := t.TempDir()
	put := func(name, text string) {
		file := filepath.Join(pages, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o700))
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
	}
	put("package-lock.json", `{"packages": {"": {"dependencies": {"tool": "1"}}, "node_modules/tool": {"version": "1"}, "node_modules/plot": {"version": "2", "integrity": "sha512-x", "dependencies": {"@of/deep": "3"}}, "node_modules/@of/deep": {"version": "3", "dependencies": {"zero": "0"}}, "node_modules/zero": {"version": "0", "dependencies": {"plot": "2"}}}}`)
	put("web/a.ts", "import {\n  a,\n  b as c,\n} from \"plot\";\nimport d from './near';\nimport \"../style.css\";\nexport const name = \"tool\";\nexport { e } from '../far';\n")
	parts, err := bundled(pages)
	require.NoError(t, err)
	require.Len(t, parts, 3)
	assert.Equal(t, part{name: "@of/deep", version: "3", url: "pkg:npm/%40of/deep@3", folder: filepath.Join(pages, "node_modules/@of/deep")}, parts[0])
	assert.Equal(t, "plot", parts[1].name)
	assert.Equal(t, "zero", parts[2].name, "what is needed by what is needed")
	put("web/deep/b.ts", "import 'strange/part.css';\n")
	_, err = bundled(pages)
	require.EqualError(t, err, "the pages import strange, which package-lock.json does not know")
}

// What has no licence that is known goes nowhere before a person has looked.
func TestRead_UnknownLicence(t *testing.T) {
	p := part{name: "thing", version: "1", folder: t.TempDir()}
	require.ErrorContains(t, p.read(), "no licence of thing 1 is known")
	require.NoError(t, os.WriteFile(filepath.Join(p.folder, "LICENSE"), []byte("Do as I say."), 0o600))
	require.ErrorContains(t, p.read(), "no licence of thing 1 is known")
	text, err := os.ReadFile("../../../LICENSE")
	require.NoError(t, err)
	terms := strings.Repeat("What stands here was never seen before. ", len(text)/20)
	require.NoError(t, os.WriteFile(filepath.Join(p.folder, "Copying.txt"), append([]byte(terms), text...), 0o600))
	require.ErrorContains(t, p.read(), "no licence of thing 1 is known", "most of it are other terms")
	require.NoError(t, os.WriteFile(filepath.Join(p.folder, "Copying.txt"), text, 0o600))
	require.NoError(t, p.read())
	assert.Equal(t, []string{"Apache-2.0"}, p.licences)
	p.folder += "-gone"
	require.ErrorContains(t, p.read(), "the sources of thing")
}
