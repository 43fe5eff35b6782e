package main

import (
	"runtime/debug"
	"strings"
	"testing"
)

// The version is what the build tells: that of an installed module, or the revision of
// a repository and whether it has changes on top.
func TestVersion(t *testing.T) {
	repository := func(modified string) *debug.BuildInfo {
		info := &debug.BuildInfo{Settings: []debug.BuildSetting{{Key: "vcs.revision", Value: "0123456789abcdef0123"}, {Key: "vcs.time", Value: "2026-11-28T04:59:25Z"}, {Key: "vcs.modified", Value: modified}}}
		info.Main.Version = "(devel)"
		return info
	}
	module := &debug.BuildInfo{Main: debug.Module{Version: "v1.2.3"}}
	for want, info := range map[string]*debug.BuildInfo{
		"handspin v1.2.3": module,
		"handspin devel, revision 0123456789ab of 2026-11-28":              repository("false"),
		"handspin devel, revision 0123456789ab of 2026-11-28 with changes": repository("true"),
	} {
		if got := versionOf(info); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
	if got := handspin("", "version"); got.status != done || !strings.HasPrefix(got.stdout, "handspin ") || strings.Count(got.stdout, "\n") != 1 {
		t.Errorf("%d %s%s", got.status, got.stdout, got.stderr)
	}
}
