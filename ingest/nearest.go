package ingest

import "strings"

// nearest finds the candidate that a slip of the finger or two may have turned
// into word. Case doesn't count. Of equally near ones the first is taken.
func nearest(word string, candidates []string) (best string, found bool) {
	word = strings.ToLower(word)
	bestDistance := 3
	for _, c := range candidates {
		if d := distance(word, strings.ToLower(c), bestDistance); d < bestDistance {
			best, bestDistance, found = c, d, true
		}
	}
	// Two letters changed in a word of three make another word.
	return best, found && bestDistance < max(2, len(word)/2)
}

// distance counts the letters to insert, delete or replace that turn a into b
// (Levenshtein's distance, by dynamic programming over one row). It gives up
// and returns limit when the distance is limit or more.
func distance(a, b string, limit int) int {
	if len(a)-len(b) >= limit || len(b)-len(a) >= limit {
		return limit
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal, least := row[0], i+1
		row[0] = i + 1
		for j := range len(b) {
			d := min(row[j], row[j+1]) + 1
			if a[i] == b[j] {
				d = min(d, diagonal)
			} else {
				d = min(d, diagonal+1)
			}
			diagonal, row[j+1] = row[j+1], d
			least = min(least, d)
		}
		if least >= limit {
			return limit
		}
	}
	return min(row[len(b)], limit)
}
