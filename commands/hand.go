package commands

import (
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"tinful/commands/line"
)

// A hand is what one person has in hand at one store: the job, and the last answer
// whose lines are numbered.
type hand struct {
	Job    string   `json:"job,omitempty"`
	JobDay string   `json:"job_day,omitempty"` // YYYY-MM-DD of the last use; on a new day the job is asked for again
	Answer []string `json:"answer,omitempty"`  // :1 is the first
	Ahead  string   `json:"ahead,omitempty"`   // the day of the book that was said to be ahead of the clock
}

// handFile is the file of the hand of a person at a store.
func (c *call) handFile() (string, error) {
	folder, err := stateFolder(runtime.GOOS, c.env.Getenv)
	if err != nil {
		return "", err
	}
	path, err := c.StorePath()
	if err != nil {
		return "", err
	}
	if path, err = filepath.Abs(path); err != nil {
		return "", err
	}
	h := fnv.New64a()
	fmt.Fprintf(h, "%s\x00%s", path, c.By())
	return filepath.Join(folder, fmt.Sprintf("%016x.json", h.Sum64())), nil
}

// loadHand is what the person has in hand, empty when nothing was kept or there is
// no folder to keep it in. A file that makes no sense is nothing kept: it holds
// nothing that cannot be said again.
func (c *call) loadHand() (hand, error) {
	if _, err := stateFolder(runtime.GOOS, c.env.Getenv); err != nil {
		return hand{}, nil
	}
	file, err := c.handFile()
	if err != nil {
		return hand{}, err
	}
	b, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return hand{}, nil
	}
	if err != nil {
		return hand{}, err
	}
	var h hand
	if json.Unmarshal(b, &h) != nil {
		return hand{}, nil
	}
	return h, nil
}

// saveHand keeps what the person has in hand. The file is whole or as before.
func (c *call) saveHand(h hand) error {
	file, err := c.handFile()
	if err != nil {
		return err
	}
	b, err := json.Marshal(h)
	if err != nil {
		return err
	}
	return replaceFile(file, b)
}

// replaceFile writes a file that only its owner reads, and the folder it lies in.
// The file is whole or as before.
func replaceFile(file string, b []byte) error {
	if err := os.MkdirAll(filepath.Dir(file), 0o700); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(file), "hand-*")
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), file)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}

// answerLine turns :2 into line 2 of the person's last answer and leaves any other
// token as it is, without looking for a last answer.
func (c *call) answerLine(token string) (string, error) {
	if !strings.HasPrefix(token, ":") {
		return token, nil
	}
	h, err := c.loadHand()
	if err != nil {
		return "", err
	}
	return h.answered(token)
}

// answered turns :2 into line 2 of the answer and leaves any other token as it is.
func (h hand) answered(token string) (string, error) {
	text, ok := strings.CutPrefix(token, ":")
	if !ok {
		return token, nil
	}
	n, err := strconv.Atoi(text)
	switch {
	case err != nil:
		return "", line.Usagef("%s is no line of the last answer: write it like :2", token)
	case len(h.Answer) == 0:
		return "", line.Usagef("%s: there is no last answer with numbered lines", token)
	case n < 1 || n > len(h.Answer):
		return "", line.Usagef("%s: the last answer has lines :1 to :%d", token, len(h.Answer))
	}
	return h.Answer[n-1], nil
}
