package svgout

import "fairlead/atlas/words"

// Reader is whom a drawing is for. The zero Reader sees the heart as the surgeon does, and reads English.
type Reader struct {
	Habit    Habit
	Language *words.Language // nil: English
}

// say says a message in the reader's language.
func (r Reader) say(id string, blanks ...words.Blanks) string {
	return r.Language.Say(words.Of(id, blanks...))
}

// said is what is to be said, in the reader's language.
func (r Reader) said(s words.Said) string { return r.Language.Say(s) }

// gist is the shortest true form of what is to be said.
func (r Reader) gist(s words.Said) string { return r.Language.Gist(s) }

// layer opens a layer, and names it in the language of the page.
func (k *Ink) layer(id, name string) {
	k.Group(id, k.drawing.page.Language.Say(words.Of("layer."+name)))
}
