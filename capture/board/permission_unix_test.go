//go:build unix

package board

import (
	"io/fs"
	"strings"
	"testing"
)

// The advice to join a group comes only where that gives access.
func TestAccessHint(t *testing.T) {
	for _, c := range []struct {
		system string
		mode   fs.FileMode
		group  string
		want   string
	}{
		{"linux", fs.ModeDevice | 0o660, "dialout", "usermod -aG dialout $USER"},
		{"linux", fs.ModeDevice | 0o600, "dialout", "only its owner"},
		{"linux", fs.ModeDevice | 0o640, "dialout", "only its owner"},
		{"linux", fs.ModeDevice | 0o660, "root", "only its owner"},
		{"darwin", fs.ModeDevice | 0o660, "staff", "add you to the group staff"},
		{"darwin", fs.ModeDevice | 0o660, "wheel", "only its owner"},
	} {
		if got := accessHint("/dev/ttyUSB0", c.system, c.mode, c.group); !strings.Contains(got, c.want) {
			t.Errorf("%s, %v, group %s: %q, want %q in it", c.system, c.mode, c.group, got, c.want)
		}
	}
}
