package sheet

import (
	"bufio"
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// ole begins the files of the old kind, and those that a password keeps.
const ole = "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"

// noFile refuses what is no file that can be read.
func noFile(path string, info fs.FileInfo) error {
	if info.IsDir() {
		return badInput("%s is a folder: name a file in it", path)
	}
	return badInput("%s is neither a file nor a folder", path)
}

// isBook tells by the first bytes of a file whether it is a workbook or text, and
// refuses what is neither, each with a sentence of its own.
func isBook(path string, info fs.FileInfo) (bool, error) {
	if !info.Mode().IsRegular() {
		return false, noFile(path, info)
	}
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	in := bufio.NewReaderSize(f, 1<<14)
	start, err := in.Peek(4096)
	if err != nil && !errors.Is(err, io.EOF) {
		return false, err
	}
	csv, ext := isExt(path, ".csv", ".tsv", ".txt"), strings.ToLower(filepath.Ext(path))
	switch s := string(start); {
	case s == "":
		return false, badInput("%s is empty", path)
	case strings.HasPrefix(s, ole) && sealed(in):
		return false, badInput("%s has a password: open it with the password and save it as .xlsx without one", path)
	case strings.HasPrefix(s, ole):
		return false, badInput("%s is a workbook of the old kind (.xls): save it as .xlsx first", path)
	case strings.HasPrefix(s, "PK\x05\x06"):
		return false, badInput("%s is an empty zip archive and no workbook", path)
	case strings.HasPrefix(s, "PK") && csv:
		return false, badInput("%s is named .csv and is a workbook by its first bytes: name it .xlsx", path)
	case strings.HasPrefix(s, "PK"):
		return true, nil
	case csv:
		return false, nil
	case !isText(start):
		return false, badInput("%s is no workbook by its first bytes: .xlsx, .ods, .csv or a folder of .csv files can be read", path)
	case strings.HasPrefix(strings.TrimLeft(s, "\ufeff \t\r\n"), "<"):
		return false, badInput("%s is a web page or other text with tags, and no workbook: open it and save it as .xlsx", path)
	case isExt(path, ".xlsx", ".xlsm", ".xls", ".xltx", ".ods"):
		return false, badInput("%s is text, as a CSV file is, and named %s: name it .csv after its sheet, such as parts.csv", path, ext)
	}
	return false, badInput("%s is no workbook by its name: .xlsx, .ods, .csv or a folder of .csv files can be read", path)
}

// sealed says that a file of the old frame holds an encrypted workbook: its
// directory names one, in UTF-16.
func sealed(in io.Reader) bool {
	var name []byte
	for _, c := range []byte("EncryptedPackage") {
		name = append(name, c, 0)
	}
	buf := make([]byte, 1<<16)
	for kept := 0; ; {
		n, err := in.Read(buf[kept:])
		if bytes.Contains(buf[:kept+n], name) {
			return true
		}
		if err != nil {
			return false
		}
		kept = copy(buf, buf[max(0, kept+n-len(name)):kept+n])
	}
}

func isText(s []byte) bool {
	if bytes.HasPrefix(s, []byte("\xff\xfe")) || bytes.HasPrefix(s, []byte("\xfe\xff")) {
		return true
	}
	for _, c := range s {
		if c < ' ' && c != '\t' && c != '\n' && c != '\r' && c != '\f' {
			return false
		}
	}
	return true
}
