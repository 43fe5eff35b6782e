// Package testdata holds recordings that more than one package uses. README.md
// gives the origin of each.
package testdata

import _ "embed"

// Demo is the recording that the command demo ranks, as CSV in gzip.
//
//go:embed demo.csv.gz
var Demo []byte
