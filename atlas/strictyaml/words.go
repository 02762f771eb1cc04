package strictyaml

import (
	"strconv"
	"strings"
)

// mostShown is how many runes of a file's own text a message repeats.
const mostShown = 60

// shorten keeps a text from the file short and on one line.
func shorten(text string) string {
	quoted := quote(text)
	return quoted[1 : len(quoted)-1]
}

func quote(text string) string {
	if len(text) <= mostShown {
		return strconv.Quote(text)
	}
	runes := []rune(text[:min(len(text), 4*mostShown)])
	if len(runes) <= mostShown {
		return strconv.Quote(text)
	}
	return strconv.Quote(string(runes[:mostShown]) + "…")
}

// choices joins words as in "a, b or c".
func choices(words []string) string { return joined(words, "or") }

// together joins words as in "a, b and c".
func together(words []string) string { return joined(words, "and") }

func joined(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	end := len(words) - 1
	return strings.Join(words[:end], ", ") + " " + last + " " + words[end]
}

// didYouMean names the known word nearest to a mistaken one, if one is near.
func didYouMean(mistaken string, known []string) string {
	if word, ok := nearest(mistaken, known); ok {
		return "did you mean " + word + "?"
	}
	return ""
}

func nearest(mistaken string, known []string) (string, bool) {
	best, least := "", max(1, len(mistaken)/3)+1
	for _, word := range known {
		if gap := len(word) - len(mistaken); gap > least || -gap > least {
			continue
		}
		if d := editDistance(strings.ToLower(mistaken), word); d < least {
			best, least = word, d
		}
	}
	return best, best != ""
}

// editDistance counts the letters to insert, remove, replace or swap with a
// neighbour to get from one word to the other.
func editDistance(from, to string) int {
	a, b := []rune(from), []rune(to)
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			cost := 1
			if a[i] == b[j] {
				cost = 0
			}
			row[j+1] = min(last[j+1]+1, row[j]+1, last[j]+cost)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
