package commands

import (
	"bufio"
	"io"
	"os"
	"path/filepath"
	"strings"

	"tinful/commands/line"
)

// A "-" stands for standard input or output where the name of a file may stand: what
// is read is kept in a folder of its own meanwhile, what is written is written there
// first and is whole before the first byte goes out.

// outThrough runs write with the name of a file in a folder of its own, and copies the
// file that result names to standard output.
func outThrough(c *call, name string, write func(file string) (result string, err error)) error {
	folder, err := os.MkdirTemp("", "tinful-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	file, err := write(filepath.Join(folder, name))
	if err != nil {
		return err
	}
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = io.Copy(c.env.Stdout, f) // as it is
	return err
}

// fileOf is the file that an argument names; "-" is standard input, kept in a file
// until done is called, as a workbook where it begins as one.
func fileOf(c *call, name, csv string) (file string, done func(), err error) {
	if name != fromLines {
		return name, func() {}, nil
	}
	in := bufio.NewReader(c.env.Stdin)
	begin, err := in.Peek(2)
	if err != nil {
		return "", nil, line.Usagef("- stands for standard input, and there is nothing in it")
	}
	if csv += ".csv"; string(begin) == "PK" { // ZIP, APPNOTE 4.3.7: local file header
		csv = typedName + ".xlsx"
	}
	folder, err := os.MkdirTemp("", "tinful-")
	if err != nil {
		return "", nil, err
	}
	done = func() { os.RemoveAll(folder) }
	f, err := os.OpenFile(filepath.Join(folder, strings.ToLower(csv)), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err == nil {
		_, err = io.Copy(f, in)
		if cerr := f.Close(); err == nil {
			err = cerr
		}
	}
	if err != nil {
		done()
		return "", nil, err
	}
	return f.Name(), done, nil
}

// A typedError is an error of standard input that was kept in a file, which it does not
// name.
type typedError struct {
	error
	file string
}

func (e typedError) Error() string { return strings.ReplaceAll(e.error.Error(), e.file, typedName) }

func (e typedError) Unwrap() error { return e.error }
