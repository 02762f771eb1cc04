package main

// nearest is the word that a mistaken one most likely stands for, or empty: one that a third of its letters, or one
// letter, lead to.
func nearest(mistaken string, words []string) string {
	best, least := "", max(1, len(mistaken)/3)+1
	for _, word := range words {
		if d := slips(mistaken, word); d < least {
			best, least = word, d
		}
	}
	return best
}

// slips is how many letters must be left out, put in, changed or swapped with the next to make one word of another.
func slips(a, b string) int {
	var before, row []int
	next := make([]int, len(b)+1)
	for j := range next {
		next[j] = j
	}
	for i := range len(a) {
		before, row, next = row, next, make([]int, len(b)+1)
		next[0] = i + 1
		for j := range len(b) {
			change := row[j]
			if a[i] != b[j] {
				change++
			}
			next[j+1] = min(row[j+1]+1, next[j]+1, change)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				next[j+1] = min(next[j+1], before[j-1]+1)
			}
		}
	}
	return next[len(b)]
}
