package sheet

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"tinful/store"
)

// problemsHead is the first line of a list of problems.
const problemsHead = "Sheet,Cell,Value,Problem"

// MayWriteProblems refuses a name that [WriteProblems] could not write to, before
// anything is booked.
func MayWriteProblems(file string) error {
	if !isExt(file, ".csv") {
		return store.Misread("%s: write a name that ends in .csv", file)
	}
	switch old, err := os.ReadFile(file); {
	case errors.Is(err, fs.ErrNotExist):
		f, err := create(filepath.Dir(file), filepath.Base(file))
		if err != nil {
			return err
		}
		return errors.Join(f.Close(), os.Remove(f.Name()))
	case err != nil:
		return err
	case !bytes.HasPrefix(old, []byte(problemsHead)):
		return inTheWay{file + " stands there already and is no list of problems: write another name"}
	}
	return nil
}

// WriteProblems writes problems to a CSV file, cells guarded against being run as
// formulas. It writes over a file of problems and over nothing else; the error wraps
// [fs.ErrExist] then, and [store.ErrUsage] for a name that does not end in .csv.
func WriteProblems(file string, all []store.Problem) error {
	if err := MayWriteProblems(file); err != nil {
		return err
	}
	var rows [][]string
	for _, p := range all {
		rows = append(rows, []string{p.Sheet, p.Cell, p.Value, p.Problem})
	}
	return writeCSV(file, strings.Split(problemsHead, ","), rows)
}
