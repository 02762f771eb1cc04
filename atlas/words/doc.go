// Package words holds every word of a drawing, by language, and says things in the reader's.
//
// What is to be said is a Said: the id of a message and what goes into its blanks. Code that finds something out makes a
// Said and leaves the language open; who draws has a Language say it. Each language is one file in languages, read and
// checked when the program starts to speak: adding one is adding a file with the same ids and the same blanks, which a test
// holds against the English file. Nothing else changes.
//
// A message is a line of text with its blanks in braces:
//
//	near: "passes {mm} mm from the {what}|; keep {margin} mm"
//
// What stands behind the bar is left out where there is room for the gist only, and so is what stands behind the bars of
// what fills the blanks. A message that counts has a form for each of the language's plural categories, chosen by the
// blank {n}:
//
//	bites: { one: "{n} bite", other: "{n} bites" }
//
// A soft hyphen (\u00ad) in a long word says where a line may part it, and a no-break space (\u00a0) keeps a number with its
// unit.
//
// Lengths and shares are Numbers: decimal digits, said with the decimal sign of the language. Names that a plan gives, and
// citations, are Text: the same in every language.
package words
