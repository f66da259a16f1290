package live

import (
	"os"
	"testing"

	"evenrim/ui/kit"
)

func TestMain(m *testing.M) {
	kit.HoldEvery()
	os.Exit(m.Run())
}
