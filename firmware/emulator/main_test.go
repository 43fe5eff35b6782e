package emulator_test

import (
	"testing"

	"handspin/firmware/emulator"
)

func TestMain(m *testing.M) { emulator.Main(m) }
