package commands

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"time"
	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

// A hand is what somebody has in hand at one store and terminal: the job, and the last
// answer whose lines are numbered.
type hand struct {
	Job    string   `json:"job,omitempty"`
	JobDay string   `json:"job_day,omitempty"` // YYYY-MM-DD of the last use; on a new day the job is asked for again
	Answer []string `json:"answer,omitempty"`  // :1 is the first
	At     uint64   `json:"at,omitempty"`      // the last booking when the answer was printed
	Mine   []uint64 `json:"mine,omitempty"`    // what was booked from here since
	Again  []string `json:"again,omitempty"`   // the last booking as it was typed
	Ahead  string   `json:"ahead,omitempty"`   // the day of the book that was said to be ahead of the clock
	Care   []string `json:"care,omitempty"`    // cautions that were said for CareOf
	CareOf string   `json:"care_of,omitempty"` // the job and day they were said for
	// Shown is of the last layout of coverings what was asked for and how it is cut, hashed.
	Shown [2]string `json:"shown"`
}

// handFolder is where hands are kept, and the beginning of the names of those of one
// person at one store.
func handFolder(c *call) (folder, who string, err error) {
	if folder, err = stateFolder(runtime.GOOS, c.env.Getenv); err != nil {
		return "", "", err
	}
	path, err := c.StorePath()
	if err != nil {
		return "", "", err
	}
	if path, err = filepath.Abs(path); err != nil {
		return "", "", err
	}
	return folder, hashed(path, cmp.Or(c.env.whose, c.By())), nil
}

// handFile is the file of the hand of a person at a store and terminal.
func (c *call) handFile() (string, error) {
	folder, who, err := handFolder(c)
	return filepath.Join(folder, who+"-"+hashed(terminalOf(c.env))+".json"), err
}

// hashed is a name for some texts that does not show them.
func hashed(texts ...string) string {
	h := fnv.New64a()
	h.Write([]byte(strings.Join(texts, "\x00")))
	return fmt.Sprintf("%016x", h.Sum64())
}

// terminalOf tells one terminal from another: an open bench line and a pipe are each
// one of their own, else it is TINFUL_TERMINAL, else what the system calls it.
func terminalOf(env Env) string {
	return cmp.Or(env.line, env.Getenv("TINFUL_TERMINAL"), session())
}

// lines counts the bench lines of this process.
var lines atomic.Int64

// ownLine is a name for a bench line or pipe that no other has.
func ownLine() string { return fmt.Sprintf("line %d %d", os.Getpid(), lines.Add(1)) }

// loadHand is what is in hand here, empty when nothing was kept or there is no folder
// to keep it in. A file that makes no sense is nothing kept: it holds nothing that
// cannot be said again.
func (c *call) loadHand() (hand, error) {
	if _, err := stateFolder(runtime.GOOS, c.env.Getenv); err != nil {
		return hand{}, nil
	}
	file, err := c.handFile()
	if err != nil {
		return hand{}, err
	}
	if h, kept := c.env.hands[file]; kept {
		return h, nil
	}
	b, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return hand{}, nil
	}
	var h hand
	if err != nil || json.Unmarshal(b, &h) != nil {
		return hand{}, err
	}
	return h, nil
}

// saveHand keeps what is in hand: at once, but for the lines of a pipe, whose hand is
// nobody else's and is written at their end.
func (c *call) saveHand(h hand) error {
	file, err := c.handFile()
	if err != nil {
		return err
	}
	if _, kept := c.env.hands[file]; kept {
		c.env.hands[file] = h
		return nil
	}
	err = writeHand(c.env, file, h)
	if err == nil && c.env.hands != nil {
		c.env.hands[file] = h
	}
	return err
}

// writeHand writes a hand. The file is whole or as before.
func writeHand(env Env, file string, h hand) error {
	b, err := json.Marshal(h)
	if err != nil {
		return err
	}
	if _, err := os.Stat(file); errors.Is(err, fs.ErrNotExist) {
		sweep(filepath.Dir(file), env.Now())
	}
	if err := replaceFile(file, b); err != nil {
		return err
	}
	return os.Chtimes(file, time.Time{}, env.Now())
}

// sweep removes the hands of terminals that were used neither today nor yesterday.
// What cannot be removed stays: it is no harm.
func sweep(folder string, now time.Time) {
	files, _ := filepath.Glob(filepath.Join(folder, "*-*.json"))
	for _, file := range files {
		if info, err := os.Stat(file); err == nil && code.DayOf(info.ModTime()) < code.DayOf(now)-1 {
			_ = os.Remove(file)
		}
	}
}

// keepAnswer keeps the numbered things of an answer, so that :2 stands for the second.
func (c *call) keepAnswer(answer []string) {
	h, err := c.loadHand()
	if err == nil {
		h.Answer, h.At, h.Mine = answer, c.last, nil
		err = c.saveHand(h)
	}
	if err != nil {
		c.Notef("the list is not kept, :1 will not stand for its first line: %v", err)
	}
}

// keepBooking keeps that a booking was made from here, and how to make it again.
func keepBooking(c *call, res store.Result) {
	h, err := c.loadHand()
	if number := res.Booking.Number; err == nil && number != 0 {
		h.Mine = append(h.Mine, number)
		if c.Name != "again" && c.Name != "undo" && len(res.Entries) > 0 {
			h.Again = withoutRefs(c.Typed(), h)
		}
		err = c.saveHand(h)
	}
	if err != nil {
		c.Notef("what is in hand is not kept: %v", err)
	}
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

// withoutRefs is a line with the things that lines of the last answer stood for.
func withoutRefs(typed []string, h hand) []string {
	out := slices.Clone(typed)
	for i, word := range out {
		token, number, more := strings.Cut(word, "=")
		if meant, err := h.answered(token); err == nil {
			if out[i] = meant; more {
				out[i] += "=" + number
			}
		}
	}
	return out
}

// answerLine turns :2 into line 2 of the last answer printed here and leaves any other
// token as it is, without looking for a last answer.
func (c *call) answerLine(token string) (string, error) {
	if !strings.HasPrefix(token, ":") {
		return token, nil
	}
	h, err := c.loadHand()
	if err != nil {
		return "", err
	}
	if len(h.Answer) == 0 && h.At == 0 && answeredElsewhere(c) {
		return "", line.Usagef("%s: the last list was printed on another terminal, ask for it again here", token)
	}
	meant, err := h.answered(token)
	if err == nil {
		c.meant = append(c.meant, meant)
	}
	return meant, err
}

// answeredElsewhere tells whether another terminal of the person has a list.
func answeredElsewhere(c *call) bool {
	folder, who, err := handFolder(c)
	if err != nil {
		return false
	}
	files, _ := filepath.Glob(filepath.Join(folder, who+"-*.json"))
	return slices.ContainsFunc(files, func(file string) bool {
		var h hand
		b, err := os.ReadFile(file)
		return err == nil && json.Unmarshal(b, &h) == nil && len(h.Answer) > 0
	})
}

// unmoved refuses a booking of what a line of the last answer stood for when somebody
// else has booked it since that answer was printed.
func unmoved(c *call, v *store.View) error {
	if len(c.meant) == 0 {
		return nil
	}
	h, err := c.loadHand()
	if err != nil || h.At == 0 {
		return err
	}
	for _, token := range c.meant {
		for _, ref := range v.Resolve(token) {
			b, err := v.BookedSince(ref, h.At, h.Mine)
			if err != nil {
				return err
			}
			if b.Number != 0 {
				return refusef("%s was booked since that list was printed (booking %d by %s, %s): ask for it again", shortRef(token), b.Number, b.By, b.Command)
			}
		}
	}
	return nil
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
