//go:build !linux

package reftest

import (
	"errors"
	"os"
)

func smallFIFO(string) (*os.File, error) {
	return nil, errors.ErrUnsupported
}
