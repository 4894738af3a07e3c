package sheet

import (
	_ "embed"
	"strings"
)

// keyTable has the words for the keys of rules, warnings, reasons of a proof and events of a source that
// do not say it themselves, a row each. Keys stand in records and in JSON; a person never reads one. A key
// that is not there reads as it is written, with blanks. The pages read the same table (page/web/base/keys.ts).
//
//go:embed keys.tsv
var keyTable string

var keyWords = wordsOf(keyTable)

func wordsOf(table string) map[string]string {
	words := map[string]string{}
	_, rows, _ := strings.Cut(table, "\n")
	for row := range strings.Lines(rows) {
		key, said, _ := strings.Cut(strings.TrimSuffix(row, "\n"), "\t")
		words[key] = said
	}
	return words
}

// Spaced is a key, such as the name of a channel, a rule or a kind of warning, in the words of people.
func Spaced(key string) string {
	if words, ok := keyWords[key]; ok {
		return words
	}
	return strings.NewReplacer("_", " ", "-", " ").Replace(key)
}
