package main

import (
	"bytes"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"fairlead/svgout"
)

// picture is the kind of file a drawing is written as.
type picture struct {
	as    string
	theme string
	dpi   float64
}

// The kinds of file, by the ending of their names.
var pictureKinds = []string{"svg", "pdf", "png"}

func flagPicture(f *pflag.FlagSet, p *picture) {
	f.StringVar(&p.as, "as", "", "write `KIND` of file: "+strings.Join(pictureKinds, ", ")+"; by the ending of the file's name, or svg, unless given")
	f.Float64Var(&p.dpi, "dpi", 150, "dots per inch of a png, `N`")
	flagTheme(f, p)
}

func flagTheme(f *pflag.FlagSet, p *picture) {
	f.StringVar(&p.theme, "theme", string(svgout.ThemePaper), "`THEME` to draw in: "+strings.Join(themeNames(), ", "))
}

func themeNames() (names []string) {
	for _, t := range svgout.Themes() {
		names = append(names, string(t))
	}
	return names
}

// settle checks what was asked for, and takes the kind of file from its name where nothing was.
func (p picture) settle(verb, output string) (picture, error) {
	if !slices.Contains(themeNames(), p.theme) {
		return p, usageError{fmt.Sprintf("fairlead %s: --theme %q is not known", verb, p.theme), "It can be " + strings.Join(themeNames(), ", ") + "."}
	}
	if p.as == "" {
		p.as = strings.ToLower(strings.TrimPrefix(filepath.Ext(output), "."))
		if !slices.Contains(pictureKinds, p.as) {
			p.as = pictureKinds[0]
		}
	}
	if !slices.Contains(pictureKinds, p.as) {
		return p, usageError{fmt.Sprintf("fairlead %s: --as %q is not known", verb, p.as), "It can be " + strings.Join(pictureKinds, ", ") + "."}
	}
	return p, nil
}

// write is the bytes of a drawing as the kind of file asked for.
func (p picture) write(drawing *svgout.Drawing) ([]byte, error) {
	drawing = drawing.In(svgout.Theme(p.theme))
	var out bytes.Buffer
	var err error
	switch p.as {
	case "pdf":
		err = svgout.WritePDF(&out, drawing)
	case "png":
		err = svgout.WritePNG(&out, drawing, p.dpi)
	default:
		err = svgout.WriteSVG(&out, drawing)
	}
	return out.Bytes(), err
}

// cannotDraw says why a plan cannot be drawn, to a reader who knows of no packages.
func cannotDraw(verb, file string, err error) error {
	return fmt.Errorf("fairlead %s: %s: %s", verb, file, strings.ReplaceAll(err.Error(), "svgout: ", ""))
}
