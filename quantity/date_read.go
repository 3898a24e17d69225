package quantity

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// ReadDate reads a day as people and labels write it: "5 Nov 2026", "November 5,
// 2026", "5.11.2026", "2026-11-05". Days that can be read two ways, like
// "5/11/2026", and those without a day or with half a year are refused, with
// what to write instead. Files hold days as ParseDate reads them.
func ReadDate(text string) (Date, error) {
	s := strings.TrimSpace(typeset.Replace(text))
	if d, err := ParseDate(s); err == nil {
		return d, nil
	}
	parts := dateParts.FindAllString(s, -1)
	year, month, day, err := sortParts(parts, text, strings.Contains(s, "."))
	if err != nil {
		return Date{}, err
	}
	t := time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	if t.Day() != day || t.Month() != month {
		return Date{}, fail("is one of the two wrong?", "%s %d has no day %d", month, year, day)
	}
	return DateOf(t), nil
}

var dateParts = regexp.MustCompile(`[0-9]+|\p{L}+`)

// sortParts finds year, month and day among the numbers and the word of a day.
func sortParts(parts []string, text string, dotted bool) (year int, month time.Month, day int, err error) {
	var numbers []int
	for _, p := range parts {
		if n, err := strconv.Atoi(p); err == nil {
			numbers = append(numbers, n)
		} else if m := monthNamed(p); m != 0 && month == 0 {
			month = m
		} else if !ordinal[strings.ToLower(p)] {
			return 0, 0, 0, noDay(text)
		}
	}
	named := month != 0
	switch {
	case named && len(numbers) == 1, !named && len(numbers) == 2:
		return 0, 0, 0, dayMissing(numbers, month, text)
	case named && len(numbers) == 2 && numbers[0] > 31: // 2026 Nov 5
		year, day = numbers[0], numbers[1]
	case named && len(numbers) == 2:
		day, year = numbers[0], numbers[1]
	case len(numbers) != 3:
		return 0, 0, 0, noDay(text)
	case numbers[0] > 31:
		year, month, day = numbers[0], time.Month(numbers[1]), numbers[2]
	default:
		year = numbers[2]
		if month, day, err = monthAndDay(numbers[0], numbers[1], year, dotted, text); err != nil {
			return 0, 0, 0, err
		}
	}
	switch {
	case year < 100:
		return 0, 0, 0, fail("write all four digits of the year, like 5 Nov 2026", "%q has half a year", shorten(text))
	case year > 9999 || month < 1 || month > 12 || day < 1:
		return 0, 0, 0, noDay(text)
	}
	return year, month, day, nil
}

// monthAndDay tells the two apart: the day comes first where dots part them,
// and otherwise only one way may be possible.
func monthAndDay(a, b, year int, dotted bool, text string) (month time.Month, day int, err error) {
	switch {
	case dotted || a > 12 || a == b:
		return time.Month(b), a, nil
	case b > 12:
		return time.Month(a), b, nil
	case a == 0 || b == 0:
		return 0, 0, noDay(text)
	}
	return 0, 0, fail(fmt.Sprintf("write %d %s %d or %d %s %d", a, shortMonth(time.Month(b)), year, b, shortMonth(time.Month(a)), year),
		"%q can be read two ways", shorten(text))
}

// dayMissing says which day a label with a month only means.
func dayMissing(numbers []int, month time.Month, text string) error {
	year := numbers[len(numbers)-1]
	if month == 0 {
		month = time.Month(numbers[0])
		if numbers[0] > 31 {
			year, month = numbers[0], time.Month(numbers[1])
		}
	}
	if year < 100 || year > 9999 || month < 1 || month > 12 {
		return noDay(text)
	}
	last := time.Date(year, month+1, 0, 0, 0, 0, 0, time.UTC)
	return fail("a label that gives a month means its last day: "+last.Format("2 Jan 2006"), "%q does not say which day", shorten(text))
}

func noDay(text string) error {
	return fail("write it like 5 Nov 2026, or 2026-11-05", "%q is not a day", shorten(text))
}

// ordinal are what follows a day in a sentence.
var ordinal = map[string]bool{"st": true, "nd": true, "rd": true, "th": true, "of": true}

// monthNamed is the month that a word of three letters or more begins, 0 when
// it is none.
func monthNamed(word string) time.Month {
	for m := time.January; m <= time.December; m++ {
		if len(word) >= 3 && strings.HasPrefix(strings.ToLower(m.String()), strings.ToLower(word)) || strings.EqualFold(word, "sept") && m == time.September {
			return m
		}
	}
	return 0
}

func shortMonth(m time.Month) string { return m.String()[:3] }
