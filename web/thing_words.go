package web

import (
	"fmt"
	"strings"

	"barwright/quantity"
)

// spaced writes a quantity with a thin space before its unit, and the sides of
// a mould with the sign for times.
func spaced(s string) string {
	s = strings.ReplaceAll(s, " x ", "\u202f×\u202f")
	number, unit, ok := strings.Cut(s, " ")
	if !ok {
		return s
	}
	if strings.Trim(number, "0123456789.-\u202f×") != "" { // "softwood 12 mm"
		return number + " " + spaced(unit)
	}
	return strings.Replace(number, "-", "\u2212", 1) + "\u202f" + unit
}

// signed prints a difference with its sign.
func signed(v float64, decimals int) string {
	if s := number(v, decimals); strings.HasPrefix(s, "\u2212") || strings.Trim(s, "0.") == "" {
		return s
	}
	return "+" + number(v, decimals)
}

func dayWords(d quantity.Date) string { return d.Time().Format("2 Jan 2006") }

// soonDays is how near a best before is said in words [d].
const soonDays = 60

// bestBefore says a best before in words when it is near or past, else as the
// day.
func bestBefore(d, today quantity.Date) (words string, old bool) {
	switch days := today.DaysUntil(d); {
	case days == 0:
		return "best before today", true
	case days == -1:
		return "best before yesterday", true
	case days < 0:
		return "best before " + daysWords(-days) + " ago", true
	case days == 1:
		return "best before tomorrow", true
	case days <= soonDays:
		return "best before in " + daysWords(days), true
	}
	return dayWords(d), false
}

// daysWords says some days in the unit people would use.
func daysWords(days int) string {
	switch {
	case days < 14:
		return fmt.Sprintf("%d days", days)
	case days < 60:
		return fmt.Sprintf("%d weeks", (days+3)/7)
	case days < 730:
		return fmt.Sprintf("%d months", (days*12+182)/365)
	}
	return fmt.Sprintf("%d years", (days+182)/365)
}
