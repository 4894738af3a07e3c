package handover

import (
	"encoding/json"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func manifest() *Manifest {
	sum := Sum{8, strings.Repeat("2c", digestSize)}
	return &Manifest{Subject: subject(), Files: []Entry{
		{Sum: sum, Name: "photographs/a.png", Format: "image/png", About: "a photograph"},
		{Sum: Sum{0, sum.SHA256}, Name: RecordName, Format: "application/vnd.sqlite3", About: "the record"},
	}}
}

func TestManifest_ReadsAsWritten(t *testing.T) {
	m := manifest()
	read, err := ParseManifest("here", m.Bytes())
	require.NoError(t, err)
	require.Equal(t, m, read)
	require.Equal(t, string(m.Bytes()), string(read.Bytes()))
	m.Files[0], m.Files[1] = m.Files[1], m.Files[0]
	require.Equal(t, string(read.Bytes()), string(m.Bytes()), "in whatever order the files came")
}

// What RO-Crate 1.1 wants of the root, by its section "Root Data Entity", and of a file.
func TestManifest_IsACrate(t *testing.T) {
	var c struct {
		Context []any            `json:"@context"`
		Graph   []map[string]any `json:"@graph"`
	}
	require.NoError(t, json.Unmarshal(manifest().Bytes(), &c))
	require.Equal(t, []any{"https://w3id.org/ro/crate/1.1/context", map[string]any{"sha256": "https://schema.org/sha256"}}, c.Context)
	of := map[any]map[string]any{}
	for _, e := range c.Graph {
		of[e["@id"]] = e
		for key, value := range e {
			if nested, ok := value.(map[string]any); ok {
				require.Len(t, nested, 1, "flat: %s", key)
			}
		}
	}
	self, root := of["ro-crate-metadata.json"], of["./"]
	require.Equal(t, "CreativeWork", self["@type"])
	require.Equal(t, map[string]any{"@id": "./"}, self["about"])
	require.Equal(t, map[string]any{"@id": "https://w3id.org/ro/crate/1.1"}, self["conformsTo"])
	require.Equal(t, "Dataset", root["@type"])
	require.Equal(t, "Loader 4, lower boom pin <bore>", root["name"])
	require.Equal(t, "2026-05-04T08:13:25.123Z", root["datePublished"])
	require.NotEmpty(t, root["description"])
	require.NotEmpty(t, root["license"])
	for _, part := range root["hasPart"].([]any) {
		file := of[part.(map[string]any)["@id"]]
		require.Equal(t, "File", file["@type"])
		require.Len(t, file["sha256"], 64)
	}
	require.Equal(t, "8", of["photographs/a.png"]["contentSize"])
	require.Equal(t, "image/png", of["photographs/a.png"]["encodingFormat"])
}

func TestParseManifest_Refuses(t *testing.T) {
	whole := string(manifest().Bytes())
	for name, c := range map[string]struct{ old, new, says string }{
		"no JSON":              {"{", "[", "no RO-Crate"},
		"more behind it":       {whole, whole + "{}", "behind its end"},
		"another crate":        {"ro/crate/1.1\"", "ro/crate/9.9\"", "RO-Crate 1.1"},
		"no version":           {`"propertyID": "arctally-bundle"`, `"propertyID": "x"`, "version of its layout"},
		"version 0":            {`"value": "1"`, `"value": "0"`, "version of its layout"},
		"version as a word":    {`"value": "1"`, `"value": "+2"`, "version of its layout"},
		"no head":              {digest, "0a", "which record"},
		"a head in capitals":   {digest, strings.ToUpper(digest), "which record"},
		"no commits":           {`"value": "7"`, `"value": "0"`, "how many commits"},
		"commits below zero":   {`"value": "7"`, `"value": "-7"`, "how many commits"},
		"no time":              {"2026-05-04T08:13:25.123Z", "yesterday", "datePublished"},
		"a size that is none":  {`"contentSize": "8"`, `"contentSize": "08"`, "contentSize"},
		"a negative size":      {`"contentSize": "8"`, `"contentSize": "-8"`, "contentSize"},
		"a sum that is none":   {strings.Repeat("2c", digestSize), "2c", "sha256"},
		"no record":            {"record.arctally", "record.other", "no record.arctally"},
		"a part that is none":  {`"@id": "photographs/a.png",`, `"@id": "photographs/b.png",`, "does not say what it is"},
		"two of one name":      {`"@id": "photographs/a.png",`, `"@id": "record.arctally",`, "twice"},
		"a part twice":         {"{\n          \"@id\": \"photographs/a.png\"", "{\n          \"@id\": \"record.arctally\"", "twice"},
		"up":                   {"photographs/a.png", "../a.png", "such a name"},
		"up within":            {"photographs/a.png", "photographs/../../a.png", "such a name"},
		"absolute":             {"photographs/a.png", "/etc/a.png", "such a name"},
		"backslash":            {"photographs/a.png", `..\\a.png`, "such a name"},
		"a drive":              {"photographs/a.png", `c:a.png`, "such a name"},
		"a device":             {"photographs/a.png", `photographs/nul.png`, "such a name"},
		"a port":               {"photographs/a.png", `com1`, "such a name"},
		"hidden":               {"photographs/a.png", `.profile`, "such a name"},
		"a dot at the end":     {"photographs/a.png", `photographs/a.`, "such a name"},
		"nothing":              {"photographs/a.png", ``, "such a name"},
		"the folder":           {"photographs/a.png", `.`, "such a name"},
		"a large letter":       {"photographs/a.png", `photographs/A.png`, "such a name"},
		"a space":              {"photographs/a.png", `photographs/a b.png`, "such a name"},
		"a null":               {"photographs/a.png", `photographs/a\u0000.png`, "such a name"},
		"too deep":             {"photographs/a.png", `a/b/c/d.png`, "such a name"},
		"too long":             {"photographs/a.png", strings.Repeat("a", 129), "such a name"},
		"in another file":      {"photographs/a.png", `record.arctally/a.png`, "would lie in the file"},
		"the manifest as part": {"{\n          \"@id\": \"photographs/a.png\"", "{\n          \"@id\": \"ro-crate-metadata.json\"", "such a name"},
	} {
		t.Run(name, func(t *testing.T) {
			broken := strings.ReplaceAll(whole, c.old, c.new)
			require.NotEqual(t, whole, broken)
			_, err := ParseManifest("here", []byte(broken))
			requireKind(t, Unfit, err, c.says)
		})
	}
	_, err := ParseManifest("here", make([]byte, largestManifest+1))
	requireKind(t, Unfit, err, "more than")
}

func TestParseManifest_ALaterVersion(t *testing.T) {
	later := strings.Replace(string(manifest().Bytes()), `"value": "1"`, `"value": "2"`, 1)
	_, err := ParseManifest("here", []byte(later))
	requireKind(t, Newer, err, "version 2", "this program knows 1")
}

// What is read leads nowhere else, and is written as it was read.
func FuzzParseManifest(f *testing.F) {
	whole := string(manifest().Bytes())
	f.Add([]byte(whole))
	f.Add([]byte(strings.Replace(whole, "photographs/a.png", "../a.png", 2)))
	f.Add([]byte(`{"@graph":[{"@id":"./"}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := ParseManifest("here", text)
		if err != nil {
			var own *Error
			require.ErrorAs(t, err, &own)
			return
		}
		for _, e := range m.Files {
			require.True(t, goodName(e.Name))
			require.True(t, filepath.IsLocal(e.Name))
			require.NotContains(t, e.Name, `\`)
		}
		again, err := ParseManifest("here", m.Bytes())
		require.NoError(t, err)
		require.Equal(t, m, again)
	})
}

// reserved are the names that Windows takes for devices, by its documents, whatever ending they have; the
// figures of COM and LPT may be superscripts there too, which no name of a bundle has.
var reserved = regexp.MustCompile(`(?i)(^|/)(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³])(\.[^/]*)?(/|$)`)

// A name that is taken is one file below its bundle on every system, and no two of them are the same file
// on a system that knows no large letters.
func FuzzName(f *testing.F) {
	for _, name := range []string{
		RecordName, "photographs/" + digest + ".png", "seals/end.txt.sig", "../a", "a/../b", "/a", `c:\a`, "nul.txt", "a/com1", "com1.a.b", "LPT9", "a.", " a", "a\x00b",
		strings.Repeat("a", longestName+1), "a//b", "a..b", "é", "a/b/c/d", "conin$", "~1", "-rf", "a:stream", "",
	} {
		f.Add(name)
	}
	f.Fuzz(func(t *testing.T, name string) {
		if !goodName(name) {
			return
		}
		require.True(t, filepath.IsLocal(name))
		require.Equal(t, name, path.Clean(name))
		require.Equal(t, name, strings.ToLower(name), "no large letters")
		require.LessOrEqual(t, len(name), longestName)
		require.LessOrEqual(t, strings.Count(name, "/"), deepest-1)
		require.NotRegexp(t, reserved, name)
		for _, element := range strings.Split(name, "/") {
			require.NotEmpty(t, element)
			require.Equal(t, element, strings.Trim(element, ". "), "Windows drops them at the end, and others hide what begins with a dot")
		}
		for _, r := range name {
			require.Contains(t, "abcdefghijklmnopqrstuvwxyz0123456789-_./", string(r))
		}
	})
}
