// Package present prints answers: as text for a terminal of 80 columns, and as
// Markdown, CSV and JSON. Whatever comes from a file or a command line is made
// harmless for a terminal here, in [Clean] and in [JSON].
package present
