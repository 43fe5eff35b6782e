package board

import (
	"errors"
	"fmt"
	"io/fs"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"time"

	"go.bug.st/serial"
)

// Port is an open serial port.
type Port interface {
	// Read returns 0 and no error where nothing comes for a short while.
	Read(p []byte) (int, error)
	Write(p []byte) (int, error)
	// SetBaud changes the rate, in bits per second.
	SetBaud(baud int) error
	Close() error
}

// readTimeout bounds how long a read waits.
const readTimeout = 100 * time.Millisecond

// Ports returns the names of the serial ports that a board could be at, sorted.
func Ports() ([]string, error) {
	all, err := serial.GetPortsList()
	if err != nil {
		return nil, fmt.Errorf("the serial ports cannot be listed: %w", err)
	}
	return usable(runtime.GOOS, all), nil
}

// usable leaves out ports that cannot be used: on macOS a tty port waits for a
// carrier that the board never gives, and its cu twin does not.
func usable(system string, all []string) []string {
	ports := slices.Clone(all)
	if system == "darwin" {
		ports = slices.DeleteFunc(ports, func(p string) bool { return !strings.HasPrefix(p, "/dev/cu.") })
	}
	slices.Sort(ports)
	return slices.Compact(ports)
}

// openPort opens a port by its name, which need not be one of [Ports].
func openPort(name string, baud int) (Port, error) {
	p, err := serial.Open(name, &serial.Mode{BaudRate: baud})
	if err != nil {
		return nil, explain(name, err)
	}
	if err := p.SetReadTimeout(readTimeout); err != nil {
		p.Close()
		return nil, explain(name, err)
	}
	return serialPort{p}, nil
}

type serialPort struct{ serial.Port }

func (p serialPort) SetBaud(baud int) error { return p.SetMode(&serial.Mode{BaudRate: baud}) }

// explain says what an error of opening a port means to the person.
func explain(name string, err error) error {
	fail := func(p Problem, hint, format string, args ...any) error {
		return &Error{Port: name, Problem: p, Msg: fmt.Sprintf(format, args...), Hint: hint}
	}
	code := serial.PortErrorCode(-1)
	if e, ok := errors.AsType[*serial.PortError](err); ok {
		code = e.Code()
	}
	switch {
	case code == serial.PortNotFound || errors.Is(err, fs.ErrNotExist):
		return fail(NoSuchPort, portsHint(), "there is no such port")
	case code == serial.PermissionDenied || errors.Is(err, fs.ErrPermission):
		return fail(NoPermission, permissionHint(name), "there is no permission to use the port")
	case code == serial.PortBusy || errors.Is(err, syscall.EBUSY):
		return fail(Busy, "close the serial monitor or whatever else has it open", "another program has the port open")
	case code == serial.InvalidSerialPort || errors.Is(err, syscall.ENOTTY) || errors.Is(err, syscall.EISDIR):
		return fail(NotAPort, portsHint(), "this is not a serial port")
	}
	return fail(Failed, portsHint(), "the port cannot be opened: %v", err)
}

// portsHint names the ports that there are.
func portsHint() string {
	ports, err := Ports()
	if err != nil || len(ports) == 0 {
		return "no serial port is there: plug the board in, with a cable that carries data"
	}
	return "the ports are " + strings.Join(ports, " ")
}
