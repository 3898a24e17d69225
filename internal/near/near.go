// Package near finds the word somebody most likely meant.
package near

import "strings"

// Word returns the candidate closest to word by edit distance, or "" when
// none is close enough to be a slip of the finger (more than a third of the
// letters changed, or two for short words).
func Word(word string, candidates []string) string {
	word = strings.ToLower(word)
	best, bestDist := "", max(2, len(word)/3)+1
	for _, c := range candidates {
		lower := strings.ToLower(c)
		d := distance(word, lower)
		if word != "" && strings.HasPrefix(lower, word) {
			d = min(d, 1)
		}
		if d < bestDist {
			best, bestDist = c, d
		}
	}
	return best
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
