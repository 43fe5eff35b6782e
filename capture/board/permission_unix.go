//go:build unix

package board

import (
	"io/fs"
	"os"
	"os/user"
	"runtime"
	"strconv"
	"syscall"
)

// permissionHint says how to get at a port.
func permissionHint(name string) string {
	info, err := os.Stat(name)
	if err != nil {
		return "see who may use it with: ls -l " + name
	}
	s, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return "see who may use it with: ls -l " + name
	}
	return accessHint(name, runtime.GOOS, info.Mode(), groupName(s.Gid))
}

// groupName returns the group's name; its number where it has none.
func groupName(gid uint32) string {
	number := strconv.FormatUint(uint64(gid), 10)
	if g, err := user.LookupGroupId(number); err == nil {
		return g.Name
	}
	return number
}

// accessHint says how to get at a port with these permissions. Joining a group
// helps where the group may use the port, and is not the administrators' own.
func accessHint(name, system string, mode fs.FileMode, group string) string {
	const readWrite = 0o060
	switch {
	case mode.Perm()&readWrite != readWrite || group == "root" || group == "wheel" || group == "0":
		return "only its owner may use it: let the system's administrator give you access, on Linux by a udev rule; see ls -l " + name
	case system == "linux":
		return "join the port's group with: sudo usermod -aG " + group + " $USER; then log out and in"
	}
	return "let the system's administrator add you to the group " + group + "; then log out and in"
}
