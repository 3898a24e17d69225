// Package near finds the word somebody most likely meant.
package near

import "strings"

// Word returns the candidate closest to word by edit distance, or "" when
// none is close enough to be a slip of the finger: more than a third of the
// letters changed, or two of a word of four and five, one of a shorter.
func Word(word string, candidates []string) string {
	word = strings.ToLower(word)
	if word == "" {
		return ""
	}
	most := max(2, len(word)/3)
	if len(word) < 4 {
		most = 1
	}
	best, bestDist := "", most+1
	for _, c := range candidates {
		if d := slip(word, strings.ToLower(c), bestDist); d < bestDist {
			best, bestDist = c, d
		}
	}
	return best
}

// slip is the edit distance, 1 for a word broken off, and limit where there is
// no likeness or no need to know.
func slip(word, candidate string, limit int) int {
	longer := len(candidate) - len(word)
	switch {
	case strings.HasPrefix(candidate, word):
		return min(1, longer)
	case max(longer, -longer) >= limit: // the distance is no less; and the word may be as long as a file
		return limit
	}
	if d := distance(word, candidate); d < len(word) {
		return d
	}
	return limit
}

// distance is the Levenshtein distance in bytes.
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diag := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			next := min(row[j+1]+1, row[j]+1, diag+cost)
			diag, row[j+1] = row[j+1], next
		}
	}
	return row[len(b)]
}
