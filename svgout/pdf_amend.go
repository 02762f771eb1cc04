package svgout

import (
	"bytes"
	"errors"
)

// amendPDF puts right in a finished document what the library leaves no
// choice in: it always dates a document, and it knows no viewer preferences
// (ISO 32000-1, 12.2). Every change keeps its length, so that the table of
// offsets at the end stays true.
func amendPDF(document []byte) error {
	return errors.Join(
		blankPDFEntry(document, "/CreationDate (", ")\n"),
		blankPDFEntry(document, "/ModDate (", ")\n"),
		replaceInPDF(document, "/Names <<\n/EmbeddedFiles << /Names [\n  \n] >>\n>>", "/ViewerPreferences << /PrintScaling /None >>"),
	)
}

// blankPDFEntry takes out the last entry of a dictionary that begins and
// ends like this. What stands in the document's information and catalogue
// comes after all streams.
func blankPDFEntry(document []byte, begin, end string) error {
	at := bytes.LastIndex(document, []byte(begin))
	if at < 0 {
		return errors.New("svgout: PDF: no " + begin + " where the library used to write one")
	}
	length := bytes.Index(document[at:], []byte(end))
	if length < 0 {
		return errors.New("svgout: PDF: no end of " + begin)
	}
	overwrite(document[at:at+length+len(end)-1], "")
	return nil
}

func replaceInPDF(document []byte, old, new string) error {
	at := bytes.LastIndex(document, []byte(old))
	if at < 0 || len(new) > len(old) {
		return errors.New("svgout: PDF: no " + old + " where the library used to write it")
	}
	overwrite(document[at:at+len(old)], new)
	return nil
}

// overwrite fills room with text and, behind it, blanks.
func overwrite(room []byte, text string) {
	n := copy(room, text)
	copy(room[n:], bytes.Repeat([]byte(" "), len(room)-n))
}
