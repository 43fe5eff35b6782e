//go:build unix

package board

import (
	"os"
	"os/user"
	"strconv"
	"syscall"
)

// permissionHint says how to get at a port. Its group may use it.
func permissionHint(name string) string {
	group := "dialout" // common on Linux
	if info, err := os.Stat(name); err == nil {
		if s, ok := info.Sys().(*syscall.Stat_t); ok {
			if g, err := user.LookupGroupId(strconv.Itoa(int(s.Gid))); err == nil {
				group = g.Name
			}
		}
	}
	return "join the port's group with: sudo usermod -aG " + group + " $USER; then log out and in"
}
