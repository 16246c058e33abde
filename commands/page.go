package commands

import (
	"bytes"
	"cmp"
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"

	"tinful/commands/line"
	web "tinful/commands/page"
	"tinful/commands/paper"
	"tinful/store"
	"tinful/store/ask"
)

// servePage serves the page at the bench until it is ended.
func servePage(c *call) error {
	port := 0
	if text := c.String("port"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > 65535 {
			return line.Usagef("--port %s is none: a port is 1 to 65535", text)
		}
		port = n
	}
	if err := c.view(func(*store.View) error { return nil }); err != nil {
		return err // a store that is not there, before anything is served
	}
	if c.Bool("house") {
		if err := askHouse(c); err != nil {
			return err
		}
	}
	all, err := web.Listen(c.Bool("house"), port)
	if errors.Is(err, web.ErrNoHouse) {
		return refusef("%v: leave --house out, the page is then for this machine alone", err)
	}
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	if c.env.until != nil {
		ctx = c.env.until
	}
	hosts := web.Hosts(all)
	s, err := newServed(c)
	if err != nil {
		return err
	}
	defer s.end()
	p, err := web.New(s.bench(), web.Options{Hosts: hosts, ReadOnly: c.Bool("read-only"), Random: rand.Read, Now: c.env.Now, Renewed: func(key string) {
		c.Notef("the key has run out, the page is now at %s", pageAddress(hosts[0], key))
	}})
	if err != nil {
		return err
	}
	away, err := sayPage(c, hosts[0], p.Key())
	if err != nil {
		return err
	}
	defer away()
	flush(c.env.Stdout)
	return p.Serve(ctx, all)
}

// askHouse asks whether others in the house may open the web.
func askHouse(c *call) error {
	if !c.env.Terminal {
		return nil // it was typed
	}
	k, err := c.key("everybody in the local net who sees the code can read the book and book in it, and what is sent is not enciphered: open the page to the house? y(es), Enter no:", "yn\r")
	if err == nil && k != 'y' {
		err = refusef("the page is not opened to the house: leave --house out, and it is for this machine alone")
	}
	return err
}

func pageAddress(host, key string) string {
	return (&url.URL{Scheme: "http", Host: host, Path: "/", RawQuery: url.Values{"key": {key}}.Encode()}).String()
}

// sayPage prints where the page is, and opens it where there is a browser. away takes
// away what that left.
func sayPage(c *call, host, key string) (away func(), err error) {
	address := pageAddress(host, key)
	if c.JSON() {
		return func() {}, c.PrintJSON(map[string]any{"address": address, "read_only": c.Bool("read-only")})
	}
	c.Println(address)
	if c.Bool("house") {
		c.Printf("%s", paper.Square(address))
	}
	c.Notef("the page is open until Ctrl-C; the key in its address opens it, for twelve hours")
	if c.Bool("house") || !c.env.OnScreen {
		return func() {}, nil
	}
	return openBrowser(c, address), nil
}

// openBrowser opens an address where there is a browser. Others on the machine see what a
// program is started with, so that the key goes by a file that only its owner reads.
func openBrowser(c *call, address string) (away func()) {
	away = func() {}
	folder, err := stateFolder(runtime.GOOS, c.env.Getenv)
	var with []string
	switch {
	case err != nil:
		return away
	case runtime.GOOS == "darwin":
		with = []string{"open"}
	case runtime.GOOS == "windows":
		with = []string{"rundll32", "url.dll,FileProtocolHandler"}
	case c.env.Getenv("DISPLAY")+c.env.Getenv("WAYLAND_DISPLAY") != "":
		with = []string{"xdg-open"}
	default:
		return away
	}
	file := filepath.Join(folder, fmt.Sprintf("page-%d.html", os.Getpid()))
	text := `<!doctype html><meta charset="utf-8"><meta http-equiv="refresh" content="0;url=` + strings.ReplaceAll(address, "&", "&amp;") + `"><title>tinful</title>`
	if replaceFile(file, []byte(text)) != nil {
		return away
	}
	away = func() { _ = os.Remove(file) } // its key opens nothing any more
	cmd := exec.Command(with[0], append(with[1:], file)...)
	if err := cmd.Start(); err != nil {
		c.Notef("no browser was opened (%v): open the address", err)
		return away
	}
	go func() { _ = cmd.Wait() }() // it may run as long as the browser
	return away
}

// A served store is asked and booked in for the page, each time as a line of its own.
type served struct {
	c    *call // the line that serves
	path string
	mu   sync.Mutex
	last *store.Store // that was open before, of the same file
	file os.FileInfo
}

func newServed(c *call) (*served, error) {
	c.env.copies = newCopier(true)
	path, err := c.StorePath()
	return &served{c: c, path: path}, err
}

// end waits for the day's copy.
func (s *served) end() { s.c.env.copies.end(s.c) }

// call is a line beside the page: what it says lands in said.
func (s *served) call(typed []string, said io.Writer) (*call, line.Line[*call], error) {
	env := s.c.env
	env.Stdin, env.Stdout, env.Stderr = strings.NewReader(""), io.Discard, said
	env.Terminal, env.OnScreen, env.Width, env.ErrWidth, env.Ask = false, false, 0, 0, nil
	env.line, env.hands, env.reader, env.writer = ownLine(), map[string]hand{}, nil, nil
	root := program()
	flags := []string{"--by", s.c.By()}
	for _, name := range []string{"store", "at"} {
		if text := s.c.String(name); text != "" {
			flags = append(flags, "--"+name, text)
		}
	}
	l, err := line.Arrange(root, append(flags, typed...))
	if err != nil {
		return nil, l, err
	}
	return newCall(env, l.Given(root)), l, nil
}

// filesOf are flags that name files, stores and days: they are for a shell, and what is
// typed on the page is none.
var filesOf = []string{"store", "at", "by", "output", "o", "sheet", "file", "problems", "font"}

// noFlags refuses words of the page that would be such flags.
func noFlags(typed []string) error {
	for _, w := range typed {
		name, _, _ := strings.Cut(strings.TrimLeft(w, "-"), "=")
		if strings.HasPrefix(w, "-") && slices.Contains(filesOf, strings.ToLower(name)) {
			return store.Misread("--%s is for a line of a shell", name)
		}
	}
	return nil
}

func (s *served) bench() web.Bench {
	return web.Bench{View: s.view, Book: s.book, Keep: s.keep, Undo: s.undo, Find: s.find, Photo: s.photo, Kept: s.kept, Sketch: sketchOf, Print: s.print, KeepPhoto: s.keepPhoto, Words: line.Words, Line: s.line, Says: s.says,
		Day: s.c.dayNow, Copied: s.copied, By: s.c.By()}
}

// view opens the store for one question. What was read of it before is remembered as long
// as nobody books.
func (s *served) view(fn func(*store.View) error) error {
	st, err := store.Open(s.path)
	if err != nil {
		return whatHelps(err)
	}
	defer st.Close()
	now, err := os.Stat(s.path)
	if err != nil {
		return err
	}
	s.mu.Lock()
	if s.file == nil || !os.SameFile(s.file, now) {
		s.last = nil
	}
	st.Remember(s.last)
	s.last, s.file = st, now
	s.mu.Unlock()
	return whatHelps(st.View(fn))
}

// book books in the words of a line. The clock may be said to be right.
func (s *served) book(typed []string, sure bool, fn func(*store.Tx) error) (store.Result, error) {
	var said bytes.Buffer
	c, _, err := s.call(typed, &said)
	if err = cmp.Or(noFlags(typed), err); err != nil {
		return store.Result{}, err
	}
	c.sure = sure
	st, err := opened(c, s.path, store.OpenToBook)
	if err != nil {
		return store.Result{}, whatHelps(err)
	}
	defer c.copyDue()
	defer st.Close()
	res, err := makeBooking(c, st, fn)
	if err != nil {
		return res, whatHelps(err)
	}
	c.due = true
	sayLow(c, st, &res)
	return res, nil
}

// keep does something on the store outside the book.
func (s *served) keep(typed []string, fn func(*store.Store, store.Head) error) error {
	c, _, err := s.call(typed, io.Discard)
	if err = cmp.Or(noFlags(typed), err); err != nil {
		return err
	}
	return c.keeping(fn)
}

func (s *served) photo(p store.Picture) ([]byte, error) { return store.ReadPhoto(s.path, p) }

func (s *served) kept(name string) (store.Photo, error) { return store.KeptPhoto(s.path, name) }

func (s *served) keepPhoto(p store.Photo) error { return store.KeepPhoto(s.path, p) }

func (s *served) undo(number uint64) (store.Result, store.Booking, error) {
	c, _, err := s.call([]string{"undo", strconv.FormatUint(number, 10)}, io.Discard)
	if err != nil {
		return store.Result{}, store.Booking{}, err
	}
	defer c.copyDue()
	return takeBack(c, number)
}

// find reads what was typed as find does.
func (s *served) find(v *store.View, typed []string) (found ask.Found, notes []string, none error, err error) {
	defer func() {
		if _, usage := errors.AsType[line.UsageError](err); usage {
			err = store.Misread("%w", err)
		}
	}()
	var said bytes.Buffer
	c, _, err := s.call(append([]string{"find"}, typed...), &said)
	if err = cmp.Or(noFlags(typed), err); err != nil {
		return found, nil, nil, err
	}
	if err := c.Clean(store.CleanText); err != nil {
		return found, nil, nil, err
	}
	q, found, err := lookFor(c, v)
	if err != nil {
		return found, nil, nil, err
	}
	if len(found.Parts)+len(found.Numbers) == 0 {
		none = noHit(q, found, strings.Join(c.Args(), " "))
		written, err := writtenOf(v, q.Words)
		if err != nil {
			return found, nil, nil, err
		}
		notes = written
	}
	for l := range strings.Lines(said.String()) {
		notes = append(notes, strings.TrimSpace(strings.TrimPrefix(l, "tinful: ")))
	}
	return found, notes, none, nil
}

// line answers a line that asks, as JSON or a fact a line.
func (s *served) line(typed []string, json bool, out io.Writer) (exit int, said string) {
	how := "--plain"
	if json {
		how = "--json"
	}
	var notes bytes.Buffer
	c, l, err := s.call(append([]string{how}, typed...), &notes)
	if err = cmp.Or(noFlags(typed), err); err == nil {
		c.env.Stdout = out
		err = run(c.env, program(), l.Argv())
	}
	if err != nil {
		return exitCode(err), s.says(err)
	}
	return exitOK, notes.String()
}

// print runs a line that writes a paper to file, and returns the paper instead; said is what
// the line says in JSON. With trial nothing is kept of it.
func (s *served) print(typed []string, file string, trial bool) (data, said []byte, err error) {
	c, l, err := s.call(append([]string{"--json", "--output=" + file}, typed...), io.Discard)
	if err = cmp.Or(noFlags(typed), err); err != nil {
		return nil, nil, err
	}
	var out bytes.Buffer
	p := &printed{trial: trial}
	c.env.Stdout, c.env.print = &out, p
	err = run(c.env, program(), l.Argv())
	if exitCode(err) == exitUsage {
		err = store.Misread("%w", err)
	}
	if err != nil {
		return nil, nil, err
	}
	if p.data == nil {
		return nil, nil, store.Absent("there is nothing to print of it")
	}
	return p.data, out.Bytes(), nil
}

// says is an error in the words of the line, without what only a shell is told.
func (s *served) says(err error) string {
	return err.Error() + sheetHelp(err) + rights(err)
}

// copied is when the store was copied last.
func (s *served) copied(v *store.View) string {
	text, _, err := lastCopy(s.c, v.Setting("demo") != "")
	return cmp.Or(text, fmt.Sprint(err))
}
