package check

import "strings"

// fromRows makes lists of what was typed in rows: reading and reference of several pairs.
func (k Kind) fromRows(typed []string) (all []string, err error) {
	lists := make([][]string, len(k.Rows))
	for _, one := range typed {
		row, found := strings.CutPrefix(one, PairKey+"=")
		if !found {
			all = append(all, one)
			continue
		}
		figures := strings.Split(row, ":")
		if n := len(figures); n > len(k.Rows) || n < min(2, len(k.Rows)) {
			return nil, Misuse("pair=%s: %s takes %s in a row", row, k.Subject, strings.Join(k.Rows, ":"))
		}
		for column, figure := range figures {
			lists[column] = append(lists[column], strings.TrimSpace(figure))
		}
	}
	for column, list := range lists {
		switch {
		case list == nil:
		case len(list) < len(lists[0]):
			return nil, Misuse("%s stands in %d of %d rows: write it in all, or in none", k.Rows[column], len(list), len(lists[0]))
		default:
			all = append(all, k.Rows[column]+"="+strings.Join(list, ";")+";")
		}
	}
	return all, nil
}
