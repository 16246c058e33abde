package commands_test

import (
	"bytes"
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// writing are lines of the commands that write, with what must be booked before them.
// The things are those of testdata/demo; OUT is a folder.
var writing = map[string][]string{
	"put":         {"put 5 P066 from bought --place R5 --grade new"},
	"fit":         {"fit b283 1 --job 105"},
	"return":      {"return B202 --job 101"},
	"hold":        {"hold b203 --job 106"},
	"unhold":      {"unhold b252"},
	"move":        {"move b203 K2"},
	"undo":        {"fit b283 1 --job 105", "undo"},
	"again":       {"on 105", "fit b283 1", "again"},
	"lend":        {"lend b221 --to H"},
	"lost":        {"lost b248"},
	"found":       {"lost b248", "found b248 --why mat"},
	"scrap":       {"scrap b241 1 --why bent"},
	"sell":        {"sell b209 2 --for 22.00 --to WHO"},
	"split":       {"split b230 2 --to N4"},
	"join":        {"split b230 2 --to N4", "join b302 b230"},
	"grade":       {"grade b203 usable --why bent"},
	"arrived":     {"arrived W1-B 22418 customer-1 stuck"},
	"done":        {"done 105 --not-tested --state collected"},
	"old":         {"old p57 rounded --job 103"},
	"made":        {"made p6 2 --from wire --minutes 40 --like b295"},
	"import":      {"import OUT/new"},
	"add part":    {"add part click-spring"},
	"add bag":     {"add bag --part P003 --quantity 3"},
	"add model":   {"add model X-9 --family Xanten"},
	"add place":   {"add place Z9"},
	"add donor":   {"add donor --model W1-B"},
	"add job":     {"add job --model W1-B"},
	"edit":        {"edit pc12 --worth 40"},
	"goes":        {"goes p1 w1-b --evidence tried"},
	"same":        {"add part click-spring", "same p3 p081"},
	"measure":     {"measure p3 --wire 0.153 --tool micrometer --readings 3"},
	"want":        {"want p1 --job 105"},
	"bought":      {"bought orv00 none 12.00"},
	"look":        {"look pc11 missing p9"},
	"strip":       {"strip pc11 ../testdata/strip/pc-11.txt"},
	"count enter": {"count enter b283=7"},
	"count close": {"count close N1 --accept all"},
	"label":       {"label b228 -o OUT/l.pdf"},
	"draw":        {"draw p1 -o OUT/d.pdf"},
	"cut":         {"cut 56x40 -o OUT/l.pdf"},
	"cut, booked": {"cut --job 106 --spare largest --book"},
	"cut, failed": {"cut --job 106 --book", "cut --failed p70"},
	"month":       {"month 2031-07 --hand-over -o OUT/m.pdf"},
	"paper":       {"paper 105 --estimate -o OUT/e.pdf"},
	"note":        {"note 105 rang the owner"},
	"photo":       {"photo pc11 ../testdata/pictures/top.jpg ../testdata/pictures/lever.png --caption before"},
	"cost":        {"cost PC-03 --freeze"},
	"check":       {"check --repair"},
	"backup":      {"backup OUT/copy.db"},
	"restore":     {"backup OUT/copy.db", "fit b283 1 --job 105", "restore OUT/copy.db --replace"},
	"salvage":     {"salvage OUT/old.db OUT/new.db"},
	"export":      {"export OUT/o.xlsx"},
	"template":    {"template OUT/t.xlsx"},
	"demo":        {"demo"},
	"count sheet": {"count sheet k1 -o OUT/sheet.csv"},
	"on":          {"on 105"},
	"off":         {"on 105", "off"},
}

// reading are the commands that write nothing but what the last answer was; count itself
// asks on a terminal, and books as "count enter" does.
// The page is among them: what is booked from it is killed in the test of the page.
const reading = "count find need show today out log job jobs list add wants which spring wire thread shims gear low count_show count_list count_due weigh odds donors backups help completion complete page"

// Every command writes or reads: one that is new gets a line above.
func TestEveryCommandThatWritesIsKilled(t *testing.T) {
	texts, err := os.ReadFile("verbs.txt")
	if err != nil {
		t.Fatal(err)
	}
	for l := range strings.Lines(string(texts)) {
		name, is := strings.CutPrefix(strings.TrimSpace(l), "## ")
		if !is || name == "tinful" || name == "several" {
			continue
		}
		if reads := slices.Contains(strings.Fields(reading), strings.ReplaceAll(name, " ", "_")); reads == (writing[name] != nil) {
			t.Errorf("%s: does it write? a line of it is to be killed", name)
		}
	}
}

// Every command that writes, killed at any moment: the store is as it was before or as it
// is behind the booking, never between, and what was answered stands.
func TestKilledInEveryCommand(t *testing.T) {
	b := newBench(t)
	whole := b.bytes(t)
	for _, name := range slices.Sorted(func(yield func(string) bool) {
		for k := range writing {
			if !yield(k) {
				return
			}
		}
	}) {
		t.Run(name, func(t *testing.T) { b.killed(t, whole, writing[name]) })
	}
}

// killed runs the last of some lines whole once, and then kills it.
func (b bench) killed(t *testing.T, whole []byte, lines []string) {
	b.dir = t.TempDir()
	b.store = filepath.Join(b.dir, "w.db")
	out := filepath.Join(b.dir, "out")
	ready := func() []string {
		b.lay(t, whole)
		b.spread(t, out, whole)
		for _, l := range lines[:len(lines)-1] {
			b.must(t, strings.Fields(strings.ReplaceAll(l, "OUT", out))...)
		}
		return strings.Fields(strings.ReplaceAll(lines[len(lines)-1], "OUT", out))
	}
	line := ready()
	before, _ := b.answers(t)
	begun := time.Now()
	b.must(t, line...)
	took := time.Since(begun)
	after, _ := b.answers(t)
	for range rounds(2, 25) {
		line := ready()
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(rand.Int64N(int64(took*5/4))))
		cmd, stdout, _ := b.command(ctx, line...)
		err := cmd.Run()
		cancel()
		came, about := b.judge(t, before, after)
		if now, _ := b.answers(t); (err == nil || strings.Contains(stdout.String(), "undo: tinful undo ")) && now != after {
			came, about = lost, difference(after, now)
		}
		copies, _ := filepath.Glob(filepath.Join(out, "*.db"))
		for _, file := range copies {
			if r := b.run(t, "", "--store", file, "check"); r.code != 0 {
				came, about = wrong, file+": "+r.out+r.err
			}
		}
		injured(t, "killed, in every command", came, strings.Join(line, " "), ": ", about)
	}
}

// spread lays out what lines that write take: a folder to import, a store to salvage.
func (b bench) spread(t *testing.T, out string, whole []byte) {
	t.Helper()
	for _, step := range []func() error{
		func() error { return os.RemoveAll(out) },
		func() error { return os.RemoveAll(filepath.Join(b.dir, "data")) },
		func() error { return os.MkdirAll(filepath.Join(out, "new"), 0o777) },
		func() error {
			return os.WriteFile(filepath.Join(out, "new", "places.csv"), []byte("Place,Where\nZ8,attic\n"), 0o666)
		},
		func() error { return os.WriteFile(filepath.Join(out, "old.db"), bytes.Clone(whole), 0o600) },
	} {
		if err := step(); err != nil {
			t.Fatal(err)
		}
	}
}
