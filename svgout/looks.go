package svgout

// Room to write what was found on, under the words of a thing to look at, mm.
const writeOnMM = 6.0

// looksHeight is the height that things to look at take in a certain width, mm; 0 for none.
func looksHeight(looks []string, widthMM float64) float64 {
	if len(looks) == 0 {
		return 0
	}
	height := BlockHeight("subheading", 1) + 1.5
	for _, look := range looks {
		height += lookHeight(look, widthMM)
	}
	return height
}

func lookHeight(look string, widthMM float64) float64 {
	return BlockHeight("label", len(lookLines(look, widthMM))) + writeOnMM
}

func lookLines(look string, widthMM float64) []string { return Fit("label", look, widthMM-6, 2) }

// looks draws what will be looked at, at the table, each with a box to tick and a line to write the result on, as far as
// there is room.
func (k *Ink) looks(looks []string, room Box, heading string) {
	if len(looks) == 0 || room.H < BlockHeight("subheading", 1)+1.5+lookHeight(looks[0], room.W) {
		return
	}
	k.layer("look-at", "to-look-at-at-the-table")
	y := k.TextBlock("subheading", room.X, room.Y, AnchorStart, []string{heading}) + 1.5
	for _, look := range looks {
		bottom := y + lookHeight(look, room.W)
		if bottom > room.Bottom() {
			break
		}
		k.look(look, Box{room.X, y, room.W, bottom - y})
		y = bottom
	}
	k.End()
}

// look draws one thing to look at.
func (k *Ink) look(look string, room Box) {
	k.Rect("tick-box", Box{room.X, room.Y + 0.4, 3.6, 3.6})
	k.TextBlock("label", room.X+6, room.Y, AnchorStart, lookLines(look, room.W))
	k.Line("write-on", Point{room.X + 6, room.Bottom() - 1}, Point{room.Right(), room.Bottom() - 1})
}
