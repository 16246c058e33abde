package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"tinful/store"
)

// WriteProblems writes problems to a CSV file, cells guarded against being run as
// formulas. It writes over a file of problems and over nothing else; the error wraps
// [fs.ErrExist] then, and [store.ErrUsage] for a name that does not end in .csv.
func WriteProblems(file string, all []store.Problem) error {
	if !isExt(file, ".csv") {
		return store.Misread("%s: write a name that ends in .csv", file)
	}
	const head = "Sheet,Cell,Value,Problem"
	switch old, err := os.ReadFile(file); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case !bytes.HasPrefix(old, []byte(head)):
		return fmt.Errorf("%s stands there already and is no list of problems: write another name: %w", file, fs.ErrExist)
	}
	var rows [][]string
	for _, p := range all {
		rows = append(rows, []string{p.Sheet, p.Cell, p.Value, p.Problem})
	}
	return writeCSV(file, strings.Split(head, ","), rows)
}
