package quantity

import (
	"slices"
	"strings"
)

// Written is a quantity and the text that it was read from, with its unit.
type Written[Q Quantity] struct {
	Value Q
	Text  string
}

// ParseList reads several quantities from one text. They are parted as Split has it;
// each has its unit, or the last alone has the unit of all. The error is an *Error.
func ParseList[Q Quantity](text string) ([]Written[Q], error) {
	items, err := Split(text)
	if err != nil {
		return nil, err
	}
	share(items)
	written := make([]Written[Q], len(items))
	for k, item := range items {
		q, err := Parse[Q](item)
		if err != nil {
			return nil, err
		}
		written[k] = Written[Q]{q, item}
	}
	return written, nil
}

// share gives the unit of the last item to all, where no other has one.
func share(items []string) {
	last := len(items) - 1
	_, unit := cutNumber(items[last])
	unit = strings.TrimSpace(unit)
	for _, item := range items[:last] {
		if _, own := cutNumber(item); own != "" {
			return
		}
	}
	for k := range items[:last] {
		items[k] = strings.TrimSpace(items[k] + " " + unit)
	}
}

// Split parts a list of numbers, with their units or without, by one rule for every
// list that is typed:
//
//   - Where a semicolon stands, semicolons part the items, and commas are decimal
//     commas. One behind the last item is allowed: "10,1;" is one item for certain.
//   - Else, where a comma stands that is not between two digits, such commas part
//     the items: "10.1, 20.2" and "10.1V,20.2V". A decimal comma is then read only
//     where each parting comma follows a unit: "10,1 V, 20,2 V".
//   - Else blanks before a number part the items, and a comma between two digits is a
//     decimal comma: "10,1 20,2 30,3" is three, and so is "3-5/8 3-3/4 4 in".
//
// Refused with words, never guessed: a comma in the one item of a list without
// semicolon, "10,1"; commas and blanks that both part items; decimal commas beside
// decimal points; a fraction behind a blank, "3 5/8 in". The error is an *Error.
func Split(text string) ([]string, error) {
	items, why := split(strings.TrimSpace(text))
	switch {
	case why != "":
	case slices.Contains(items, ""):
		why = "nothing stands between two of the signs that part the list"
	case mixed(items...):
		why = mixedSigns
	}
	if why != "" {
		return nil, &Error{Text: text, Reason: why}
	}
	return items, nil
}

const (
	mixedSigns    = "decimal commas and decimal points are mixed; write all numbers in one way"
	bySemicolons  = "; part the numbers by semicolons"
	commaForBoth  = "a comma parts the numbers here, and stands inside of one as well" + bySemicolons
	oneOrTwo      = "it may be one number or two; write a decimal point, or part the numbers by semicolons"
	signsForParts = "both commas and blanks part the numbers" + bySemicolons
)

func split(text string) (items []string, why string) {
	if whole, found := strings.CutSuffix(text, ";"); found || strings.Contains(text, ";") {
		for item := range strings.SplitSeq(whole, ";") {
			items = append(items, strings.TrimSpace(item))
		}
		return items, ""
	}
	items, bare := atCommas(text)
	if len(items) > 1 {
		for _, item := range items {
			switch {
			case bare && strings.Contains(item, ","):
				return items, commaForBoth
			case len(atBlanks(item)) > 1:
				if number, _ := cutNumber(item); !isFraction(number) {
					return items, signsForParts
				}
			}
		}
		return items, ""
	}
	items = atBlanks(text)
	if len(items) == 1 && strings.Contains(text, ",") {
		return items, oneOrTwo
	}
	for k := 1; k < len(items); k++ {
		number, _ := cutNumber(items[k])
		if _, unit := cutNumber(items[k-1]); isFraction(number) && !strings.Contains(number, "-") && unit == "" {
			return items, oneOrTwo
		}
	}
	return items, ""
}

// atCommas parts a text at commas that are not between two digits; bare tells
// whether one of them follows a digit.
func atCommas(text string) (items []string, bare bool) {
	start := 0
	for k := range len(text) {
		if text[k] != ',' || k > 0 && digitsAt(text[k-1:k], 0) == 1 && digitsAt(text, k+1) > 0 {
			continue
		}
		before := strings.TrimSpace(text[start:k])
		bare = bare || before == "" || digitsAt(before[len(before)-1:], 0) == 1
		items = append(items, before)
		start = k + 1
	}
	return append(items, strings.TrimSpace(text[start:])), bare
}

// atBlanks parts a text at blanks that a number follows.
func atBlanks(text string) (items []string) {
	start := 0
	for k := 1; k < len(text); k++ {
		if number, _ := cutNumber(text[k:]); number != "" && (text[k-1] == ' ' || text[k-1] == '\t') {
			items = append(items, strings.TrimSpace(text[start:k]))
			start = k
		}
	}
	return append(items, strings.TrimSpace(text[start:]))
}
