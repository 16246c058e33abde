package commands

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"unicode"

	"github.com/mattn/go-runewidth"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// benchWords are what the bench line understands beside the commands.
var benchWords = []string{"me", "more", "clear", "quit", "exit", "bye"}

// errLeave is returned when a line leaves the bench line.
var errLeave = errors.New("the bench line is left")

// A benchLine is the program alone: lines are typed, or come through a pipe, and
// each is run as the shell would run it. The store is opened for a line and closed
// again, so that a second program can work beside it.
type benchLine struct {
	env    Env
	flags  []string // the flags the program was started with but --by, --name=value: they hold for every line
	by     string   // who books, as long as nobody says otherwise
	asked  *pending
	pages  *pager // what of the last answer was not shown yet; nil off a terminal
	job    string // the job that was last in the prompt
	model  string // and its model
	silent bool   // the history cannot be kept, and that was said
}

// A pending is a line that was refused because several things would do. An answer
// like :2 puts the thing in place of the words that named several.
type pending struct {
	line     line.Line[*call]
	from, to int    // of the arguments that are replaced
	number   string // what stands behind them in the same word: p21=2
	answer   []string
}

// lineGC is answerGC of the lines of one process: what one leaves behind is collected
// with that of others.
const lineGC = 500

// bare is the program without a command: the bench line on a terminal, the lines of
// a pipe or file, else the first page of help.
func bare(env Env, l line.Line[*call], keepGoing bool) error {
	env.reader, env.writer = &reader{}, &writer{}
	defer env.reader.drop()
	defer env.writer.drop()
	debug.SetGCPercent(lineGC)
	b := &benchLine{env: env, flags: l.Flags[0]}
	b.by = b.call().By()
	b.bookAs(b.by)
	if env.Terminal && env.OnScreen {
		terminal := b.call()
		h, _ := terminal.loadHand() // without it nothing is in hand yet
		b.env.line, b.env.whose = ownLine(), b.by
		_ = b.call().saveHand(hand{Job: h.Job, JobDay: h.JobDay})
		defer func() { handBack(terminal, b.call()) }()
		b.env.copies = newCopier(true)
		defer func() { b.env.copies.end(b.call()) }()
		return b.terminal()
	}
	b.env.line, b.env.whose = ownLine(), b.by
	if env.Terminal || env.Stdin == nil {
		return printHelp(env, nil)
	}
	in := bufio.NewReader(env.Stdin)
	if _, err := in.Peek(1); err != nil {
		return printHelp(env, nil)
	}
	b.env.copies = newCopier(false)
	defer func() {
		b.env.writer.drop()
		b.env.copies.end(b.call())
	}()
	b.env.hands = map[string]hand{}
	defer func() {
		for file, h := range b.env.hands {
			_ = writeHand(b.env, file, h) // it could be written when it was first kept
		}
	}()
	return b.lines(in, keepGoing)
}

// handBack leaves the job in hand of a bench line to the terminal it was opened in, as
// far as it can be kept.
func handBack(terminal, line *call) {
	h, err := line.loadHand()
	if err != nil {
		return
	}
	before, err := terminal.loadHand()
	if err == nil && before.Job != h.Job {
		before.Job, before.JobDay = h.Job, h.JobDay
		_ = terminal.saveHand(before)
	}
	if file, err := line.handFile(); err == nil {
		_ = os.Remove(file)
	}
}

// cutKeepGoing takes --keep-going off a line that names no command, where alone it
// has a meaning.
func cutKeepGoing(root *command, args []string) (rest []string, found bool) {
	for _, t := range line.Scan(root, args) {
		switch {
		case t.Word:
			return args, false
		case t.Text == "--keep-going":
			found = true
		}
	}
	if !found {
		return args, false
	}
	return slices.DeleteFunc(slices.Clone(args), func(s string) bool { return s == "--keep-going" }), true
}

// A failure is a line that failed, and the exit code it ended with.
type failure struct{ line, code int }

// lines runs the lines of a pipe or file, and stops at the first that fails unless
// it is to keep going. A line that was refused with a list has not failed when the
// next one answers it. It ends as the last line that failed did.
func (b *benchLine) lines(in *bufio.Reader, keepGoing bool) error {
	b.env.Stdin = takenInput{}
	var failed, asked failure // asked waits for its answer
	for number := 1; failed.code == exitOK || keepGoing; number++ {
		text, rerr := readBounded(in)
		if errors.Is(rerr, line.ErrLong) {
			failed = b.told(number, rerr)
			continue
		}
		if rerr != nil && !errors.Is(rerr, io.EOF) {
			return rerr
		}
		if number == 1 {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		if asked.code != exitOK && !line.IsRemark(text) {
			if !b.answers(text) {
				failed = asked
			}
			if asked = (failure{}); failed.code != exitOK && !keepGoing {
				break
			}
		}
		err := b.do(text)
		flush(b.env.Stdout) // who wrote the line may wait for its answer
		if errors.Is(err, errLeave) {
			break
		}
		if _, list := errors.AsType[*severalError](err); list && b.asked != nil {
			asked = b.told(number, err)
		} else if err != nil {
			failed = b.told(number, err)
		}
		if rerr != nil {
			break
		}
	}
	if asked.code != exitOK {
		failed = asked
	}
	return b.ended(failed, keepGoing)
}

// told says which line failed and why.
func (b *benchLine) told(number int, err error) failure {
	code := exitCode(err)
	if _, silent := errors.AsType[silentError](err); silent {
		err = fmt.Errorf("it ended with exit code %d", code)
	}
	tell.Note(b.env.Stderr, b.env.ErrWidth, fmt.Sprintf("line %d: %v", number, err))
	return failure{number, code}
}

// ended says at which line the lines stopped, and is the error they end with.
func (b *benchLine) ended(f failure, keepGoing bool) error {
	if f.code == exitOK {
		return nil
	}
	if !keepGoing {
		tell.Note(b.env.Stderr, b.env.ErrWidth, fmt.Sprintf("stopped at line %d: what the lines before it booked stands, --keep-going goes on", f.line))
	}
	return silentError(f.code)
}

// answers tells whether a line answers the list that the one before was refused with.
func (b *benchLine) answers(text string) bool {
	words, err := line.Words(text)
	return err == nil && len(words) > 0 && b.asked != nil && isAnswer(words)
}

// A takenInput is standard input where it holds the lines themselves.
type takenInput struct{}

func (takenInput) Read([]byte) (int, error) {
	return 0, line.Usagef("standard input holds the commands here, and nothing else can be read from it: write it on the line")
}

// do runs one line. The error says what the program alone would have said, and
// errLeave that the bench line is left.
func (b *benchLine) do(text string) error {
	if strings.TrimSpace(text) == "" {
		return b.more() // Enter goes on
	}
	if line.IsRemark(text) {
		return nil
	}
	words, err := line.Words(text)
	if err := cmp.Or(line.Bounded([]string{text}), err); err != nil {
		return err
	}
	words = line.Narrow(words)
	if len(words) > 0 && words[0] == "tinful" {
		words = words[1:] // as the program itself writes it: undo: tinful undo 57
	}
	if len(words) == 0 {
		return nil
	}
	first := strings.ToLower(words[0])
	if len(words) == 1 {
		switch first {
		case "quit", "exit", "bye":
			return errLeave
		case "more":
			return b.more()
		case "clear":
			return b.clear()
		}
	}
	b.pages.drop()
	if b.asked != nil && isAnswer(words) {
		return b.answer(words[0], words[1:])
	}
	b.asked = nil
	if first == "me" {
		return b.me(words[1:])
	}
	err = b.run(b.meant(words))
	if first == "demo" && err == nil {
		b.enterDemo()
	}
	return err
}

// enterDemo lets the lines that follow be about the demo workshop, where no store of
// one's own is there.
func (b *benchLine) enterDemo() {
	c := b.call()
	path, err := c.DemoPath()
	if err != nil || !errors.Is(c.view(func(*store.View) error { return nil }), store.ErrNoStore) {
		return
	}
	b.flags = append(b.flags, "--store="+path)
	c.Notef("this line is in the demo workshop now")
}

// meant puts find before words that begin with no command and are no code, and says
// whether it did. Of a line that names nothing, only help and version are left.
func (b *benchLine) meant(words []string) (args []string, guessed string) {
	root := program()
	global, count := true, 0
	first := ""
	for _, t := range line.Scan(root, words) {
		switch {
		case t.Word && count == 0:
			first, count = t.Text, 1
		case t.Word:
			count++
		case line.IsHelp(t) || line.IsVersion(t):
			return words, ""
		case line.Named(root.Flags, t.Name) == nil:
			global = false
		}
	}
	switch {
	case count == 0 && global:
		return nil, ""
	case count > 0 && line.Sub(root.Subcommands, first) != nil, count == 1 && line.IsCode(first):
		return words, ""
	}
	return append([]string{"find"}, words...), first
}

// run runs words as the shell would, with the flags that hold for every line. What
// was refused with a list is kept, for an answer to take it up.
func (b *benchLine) run(words []string, guessed string) error {
	if len(words) == 0 {
		return nil
	}
	l, err := line.Arrange(program(), b.withFlags(words))
	if err != nil {
		return unlessGuessed(err, guessed)
	}
	err = b.play(l)
	if guessed != "" {
		words = words[1:] // find was not typed
	}
	if errors.Is(err, store.ErrNotFound) {
		if apart := cmp.Or(apart(words), unsaid(words, guessed)); apart != "" {
			return fmt.Errorf("%w\ndid you mean %s?", err, apart)
		}
	}
	return unlessGuessed(err, guessed)
}

// unsaid is a line of a code and a number that was taken for words, as it was likely
// meant: fit b292 2 for b292 2; else empty.
func unsaid(words []string, guessed string) string {
	if len(words) != 2 || words[0] != guessed || !line.IsCode(guessed) || !line.IsNumber(words[1]) {
		return ""
	}
	return "fit " + strings.Join(words, " ")
}

// apart is a line that was written without its first blank, as it was likely meant:
// on 105 for on105; else empty.
func apart(words []string) string {
	for _, name := range line.Names(program().Subcommands) {
		rest, ok := strings.CutPrefix(strings.ToLower(words[0]), name)
		if ok && line.IsCode(rest) && !strings.HasPrefix(rest, "-") {
			return strings.Join(append([]string{name, rest}, words[1:]...), " ")
		}
	}
	return ""
}

// play runs a line that is in order.
func (b *benchLine) play(l line.Line[*call]) error {
	err := run(b.env, program(), l.Typed())
	if several, ok := errors.AsType[*severalError](err); ok {
		if b.asked = pendingOf(l, several); b.asked != nil {
			several.text += "; here :1 alone will do"
		}
	}
	return err
}

// unlessGuessed adds to the error of a line that was taken for words to find the
// command it was likely meant to be.
func unlessGuessed(err error, guessed string) error {
	if err == nil || guessed == "" {
		return err
	}
	if near := words.Nearest(guessed, append(line.Names(program().Subcommands), benchWords...)); near != "" {
		return fmt.Errorf("%w\n%q is no command and was looked for: did you mean %s?", err, guessed, near)
	}
	return err
}

// withFlags puts the flags that hold for every line before words that do not say
// otherwise.
func (b *benchLine) withFlags(words []string) []string {
	var out []string
	tokens := line.Scan(program(), words)
	for _, flag := range b.flags {
		name, _, _ := strings.Cut(strings.TrimPrefix(flag, "--"), "=")
		said := func(t line.Token) bool { return !t.Word && t.Name == name }
		if !slices.ContainsFunc(tokens, said) {
			out = append(out, flag)
		}
	}
	return append(out, words...)
}

// pendingOf makes one of a line that was refused with a list, nil where the words
// that name several are not among its arguments.
func pendingOf(l line.Line[*call], e *severalError) *pending {
	n := len(e.asked)
	if n == 0 {
		return nil
	}
	for i := 0; i+n <= len(l.Args); i++ {
		if slices.Equal(l.Args[i:i+n], e.asked) {
			return &pending{l, i, i + n, "", e.answer}
		}
	}
	for i, arg := range l.Args {
		if number, ok := strings.CutPrefix(arg, e.asked[0]+"="); ok && n == 1 {
			return &pending{l, i, i + 1, "=" + number, e.answer}
		}
	}
	return nil
}

// isAnswer tells whether words are a line of a list, perhaps with a number: :2, :2 3.
func isAnswer(words []string) bool {
	if !strings.HasPrefix(words[0], ":") {
		return false
	}
	if len(words) == 1 {
		return true
	}
	_, used := line.QuantityAt(words[1:])
	return used == len(words)-1
}

// answer takes the refused line up with the thing that :2 stands for in its list,
// and with another number where one is said. Where it is refused once more the line
// stands, so that another may be tried.
func (b *benchLine) answer(token string, number []string) error {
	q := b.asked
	thing, err := hand{Answer: q.answer}.answered(token)
	if err != nil {
		return err
	}
	l, to := q.line, q.to
	if len(number) == 0 {
		thing += q.number
	} else if to < len(l.Args) {
		_, used := line.QuantityAt(l.Args[to:])
		to += used
	}
	l.Args = slices.Replace(slices.Clone(l.Args), q.from, to, append([]string{thing}, number...)...)
	if err = b.play(l); err == nil {
		b.asked = nil
	}
	return err
}

// me says who books, or lets another one book from now on.
func (b *benchLine) me(args []string) error {
	stdout := b.env.Stdout
	if len(args) == 0 {
		_, err := fmt.Fprintf(stdout, "%s books\n", words.Shown(b.call().By()))
		return err
	}
	name, err := store.CleanText(args[0])
	switch {
	case err != nil:
		return err
	case len(args) > 1:
		return line.Usagef("me takes one name: me \"%s\"", strings.Join(args, " "))
	case name == "" || line.LooksLikeFlag(name):
		return line.Usagef("me takes the name of who books: me H")
	}
	b.bookAs(name)
	_, err = fmt.Fprintf(stdout, "%s books from now on\n", words.Shown(name))
	return err
}

// bookAs lets a person book. It is told as TINFUL_BY is and not as --by, for log
// reads that as whose bookings to list.
func (b *benchLine) bookAs(name string) {
	b.flags = slices.DeleteFunc(slices.Clone(b.flags), func(s string) bool { return strings.HasPrefix(s, "--by=") })
	getenv := b.env.Getenv
	b.env.Getenv = func(key string) string {
		if key == "TINFUL_BY" {
			return name
		}
		return getenv(key)
	}
}

// call is a line that only has the flags that hold for every line: for what the
// bench line itself asks of the store and of the hand.
func (b *benchLine) call() *call {
	l := line.Line[*call]{Flags: [][]string{b.flags}}
	return newCall(b.env, l.Given(program()))
}

// widestName is how many columns of a name the prompt shows.
const widestName = 12

// prompt shows the job in hand, with a question mark when it is one of an earlier
// day and will be asked for again; and who books, when that was changed.
func (b *benchLine) prompt() string {
	c := b.call()
	text := "tinful"
	if h, err := c.loadHand(); err == nil && h.Job != "" {
		text = h.Job
		if model := b.modelOf(c, h.Job); model != "" {
			text += " " + model
		}
		if h.JobDay != c.env.today() {
			text += "?"
		}
	}
	if by := c.By(); by != b.by {
		text = runewidth.Truncate(by, widestName, "~") + " " + text
	}
	return strings.Map(printable, text) + "> "
}

// printable drops what would upset the terminal.
func printable(r rune) rune {
	if unicode.Is(unicode.C, r) {
		return -1
	}
	return r
}

// modelOf is the model of a job, as it was last known where the store cannot be
// read.
func (b *benchLine) modelOf(c *call, job string) string {
	err := c.view(func(v *store.View) error {
		j, err := v.Job(code.Code(job))
		if err == nil {
			b.job, b.model = job, string(j.Model)
		}
		return err
	})
	if err != nil && b.job != job {
		return ""
	}
	return b.model
}
