// Package svgcheck examines finished SVG sheets for the tests of fairlead's
// views: a strict reading of its own, outside validators, and two rendering
// engines.
//
// A tool that is not installed makes its test skip, unless the environment
// variable FAIRLEAD_RENDER is "required"; then the test fails.
// FAIRLEAD_VNU_JAR names the Nu Html Checker's jar.
package svgcheck
