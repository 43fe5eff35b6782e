package boardtest

import (
	"fmt"
	"os"
	"syscall"
	"testing"
	"unsafe"
)

// Pty opens a pseudo terminal. The test is the board and holds the master side;
// the host opens the port at path. Closing the master unplugs it.
func Pty(t testing.TB) (master *os.File, path string) {
	t.Helper()
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { master.Close() })
	var n, unlock int32
	for request, p := range map[uintptr]*int32{syscall.TIOCGPTN: &n, syscall.TIOCSPTLCK: &unlock} {
		if _, _, e := syscall.Syscall(syscall.SYS_IOCTL, master.Fd(), request, uintptr(unsafe.Pointer(p))); e != 0 {
			t.Fatal(e)
		}
	}
	return master, fmt.Sprintf("/dev/pts/%d", n)
}
