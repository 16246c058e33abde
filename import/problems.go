package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"tinful/store"
)

// problemHeads are the headings of a file of problems, by which one is known.
var problemHeads = []string{"Sheet", "Cell", "Value", "Problem"}

// WriteProblems writes problems to a CSV file, cells guarded against being run as
// formulas. It writes over a file of problems and over nothing else; the error wraps
// [fs.ErrExist] then, and [store.ErrUsage] for a name that does not end in .csv.
func WriteProblems(file string, all []store.Problem) error {
	if !isExt(file, ".csv") {
		return store.Misread("%s: write a name that ends in .csv", file)
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	err := w.Write(problemHeads)
	head := len("Sheet,Cell,Value,Problem")
	for _, p := range all {
		err = errors.Join(err, w.Write([]string{guard(p.Sheet), p.Cell, guard(p.Value), guard(p.Problem)}))
	}
	w.Flush()
	if err = errors.Join(err, w.Error()); err != nil {
		return err
	}
	switch old, err := os.ReadFile(file); {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	case !bytes.HasPrefix(old, b.Bytes()[:head]):
		return fmt.Errorf("%s stands there already and is no list of problems: write another name: %w", file, fs.ErrExist)
	}
	return writeWhole(file, b.Bytes())
}
