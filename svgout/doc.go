// Package svgout is the drawing foundation of fairlead's plates: sheets of
// paper written as SVG, one house style, lettering measured without a font,
// and labels that stand clear of each other beside a picture.
//
// All coordinates are millimetres on the paper, with y downwards.
package svgout
