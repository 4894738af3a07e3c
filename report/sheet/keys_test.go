package sheet

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// constants are the values of the constants of one type in a file.
func constants(t *testing.T, file, of string) (keys []string) {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
	require.NoError(t, err)
	ast.Inspect(parsed, func(n ast.Node) bool {
		spec, ok := n.(*ast.ValueSpec)
		if !ok || len(spec.Values) != 1 {
			return true
		}
		name, ok := spec.Type.(*ast.Ident)
		if !ok || name.Name != of {
			return true
		}
		key, err := strconv.Unquote(spec.Values[0].(*ast.BasicLit).Value)
		require.NoError(t, err)
		keys = append(keys, key)
		return true
	})
	require.NotEmpty(t, keys, file)
	return keys
}

// warningKinds are the kinds of warnings that the files of a room write out.
func warningKinds(t *testing.T, room string, way string) (keys []string) {
	t.Helper()
	files, err := filepath.Glob(room + "/*.go")
	require.NoError(t, err)
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		for _, found := range regexp.MustCompile(way).FindAllStringSubmatch(string(text), -1) {
			keys = append(keys, found[1])
		}
	}
	require.NotEmpty(t, keys, room)
	return keys
}

func allKeys(t *testing.T) []string {
	keys := constants(t, "../../analyze/finding/rules.go", "Rule")
	keys = append(keys, constants(t, "../../analyze/proof/reason.go", "Kind")...)
	keys = append(keys, constants(t, "../../acquire/series/series.go", "EventKind")...)
	keys = append(keys, warningKinds(t, "../../analyze", `(?:Kind: +|add\(|boxWarning = )"([a-z-]+)"`)...)
	return append(keys, warningKinds(t, "../../analyze/plan", `warn\("([a-z-]+)"`)...)
}

func TestKeys_EveryKeyHasWords(t *testing.T) {
	known := map[string]bool{}
	for _, key := range allKeys(t) {
		known[key] = true
		words := Spaced(key)
		require.NotContains(t, words, "_", key)
		require.NotRegexp(t, `^no-|^(un)?[a-z]+-(travel|check|input|window|calibration|box|row)$`, words)
		if strings.ContainsAny(key, "_-") {
			require.NotEqual(t, key, words, "nobody is shown a key")
		}
	}
	require.Greater(t, len(known), 70)
	for key := range keyWords {
		require.True(t, known[key], "%s is the key of nothing", key)
	}
}
