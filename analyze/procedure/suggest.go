package procedure

import "strings"

// suggestion says which word was meant: the nearest one where it is near, all of
// them otherwise.
func suggestion(written string, known []string) string {
	nearest, distance := "", len(written)/2+1
	for _, word := range known {
		if d := editDistance(strings.ToLower(written), strings.ToLower(word)); d < distance {
			nearest, distance = word, d
		}
	}
	if nearest != "" {
		return "did you mean " + nearest + "?"
	}
	return "write " + oneOf(known)
}

// oneOf lists words as a sentence does.
func oneOf(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

// longestWord bounds the work of editDistance on a key that is no word at all.
const longestWord = 64

// editDistance counts the letters to insert, take away or change to make one
// word of the other (Levenshtein 1966, by Wagner and Fischer's table, one row at
// a time).
func editDistance(a, b string) int {
	if len(a) > longestWord || len(b) > longestWord {
		return longestWord
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
