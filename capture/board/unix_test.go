//go:build unix

package board

import (
	"io/fs"
	"syscall"
)

// Errors of the system for opening a port.
var errBusy, errPermission error = syscall.EBUSY, fs.ErrPermission
