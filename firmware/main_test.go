package firmware_test

import (
	"os"
	"testing"

	"handspin/firmware/emulator"
)

func TestMain(m *testing.M) {
	status := m.Run()
	emulator.Remove()
	os.Exit(status)
}
