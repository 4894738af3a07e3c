package capture

// spaces stands for fields parted by any run of spaces and tabs.
const spaces = ' '

// split appends the fields of a line to out. Fields may be quoted; quotes are
// removed, and a quote that is not closed runs to the end of the line.
func split(line []byte, separator byte, out [][]byte) [][]byte {
	if separator == spaces {
		return splitSpaces(line, out)
	}
	start := 0
	for i := 0; ; i++ {
		if i == len(line) || line[i] == separator {
			out = append(out, line[start:i])
			if i == len(line) {
				return out
			}
			start = i + 1
			continue
		}
		if line[i] == '"' && blank(line[start:i]) {
			i = closing(line, i)
		}
	}
}

// closing returns the index of the quote that closes the one at i, or of the
// last byte.
func closing(line []byte, i int) int {
	for i++; i < len(line); i++ {
		if line[i] != '"' {
			continue
		}
		if i+1 == len(line) || line[i+1] != '"' {
			return i
		}
		i++
	}
	return len(line) - 1
}

func splitSpaces(line []byte, out [][]byte) [][]byte {
	for i := 0; i < len(line); i++ {
		if isSpace(line[i]) {
			continue
		}
		start := i
		if line[i] == '"' {
			i = closing(line, i)
		}
		for i < len(line) && !isSpace(line[i]) {
			i++
		}
		out = append(out, line[start:i])
	}
	return out
}

func isSpace(c byte) bool { return c == ' ' || c == '\t' }

func blank(b []byte) bool {
	for _, c := range b {
		if !isSpace(c) {
			return false
		}
	}
	return true
}

// trim removes spaces around a field, and its quotes.
func trim(b []byte) []byte {
	for len(b) > 0 && isSpace(b[0]) {
		b = b[1:]
	}
	for len(b) > 0 && isSpace(b[len(b)-1]) {
		b = b[:len(b)-1]
	}
	if len(b) >= 2 && b[0] == '"' && b[len(b)-1] == '"' {
		return trim(b[1 : len(b)-1])
	}
	return b
}
