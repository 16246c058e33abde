package store

import (
	"path/filepath"
	"strings"
)

// sameDisk says that two files or folders lie on one disk, as far as the system tells.
func sameDisk(a, b string) bool {
	x, err := filepath.Abs(a)
	y, berr := filepath.Abs(b)
	return err == nil && berr == nil && strings.EqualFold(filepath.VolumeName(x), filepath.VolumeName(y))
}
