// Package picture draws what a recording shows as SVG, to be set within a page.
// It is the only importer of gonum/plot.
//
// A picture is 360 units wide, so that its letters can be read on a narrow screen
// at one pixel for a unit. Lead colours are told apart by line styles too, and
// whatever is neither takes the colour of the page's text, light or dark.
package picture
