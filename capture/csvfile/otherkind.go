package csvfile

import "bytes"

// otherKinds are files that are no recordings, by what they begin with: what they
// are, and what to do.
var otherKinds = []struct{ begin, is, hint string }{
	{"PK\x03\x04", "a ZIP archive, as a workbook or a saved session is", saveAsCSV},
	{"\xd0\xcf\x11\xe0", "a document of an office program", saveAsCSV},
	{"%PDF", "a PDF document", saveAsCSV},
	{`{\rtf`, "a formatted text", "save it as plain text"},
	{"RIFF", "a sound or film", saveAsCSV},
	{"<!doctype html", "a web page", "download the file itself"},
	{"<html", "a web page", "download the file itself"},
	{"BZh", "packed with bzip2", "unpack it, or pack it with gzip"},
	{"\xfd7zXZ", "packed with xz", "unpack it, or pack it with gzip"},
	{"7z\xbc\xaf", "packed with 7-Zip", "unpack it, or pack it with gzip"},
	{"\x28\xb5\x2f\xfd", "packed with zstd", "unpack it, or pack it with gzip"},
}

const saveAsCSV = "open it in the program that wrote it, and save or export the table as CSV"

// otherKind refuses a file that is known to be something else.
func (s *source) otherKind() error {
	head := bytes.ToLower(bytes.TrimLeft(s.text[:min(len(s.text), sampled)], " \t\r\n"))
	for _, kind := range otherKinds {
		if bytes.HasPrefix(head, bytes.ToLower([]byte(kind.begin))) {
			return s.fail(0, kind.hint, "this is no text of rows: it is %s", kind.is)
		}
	}
	return nil
}
