package commands_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A rule is one sentence through every entrance: typed with add, edit, goes, bought,
// arrived, measure, on a line of a lot, and in a workbook. The codes are those of the
// demo workshop (testdata/demo): ORV-00 is a shutter, OMB-50/3.5 a lens, J4 a tray that
// has job 106, D1 a shelf; P078 contains P011. No sentence is taken from the program.
func TestOneSentenceAtEveryEntrance(t *testing.T) {
	const (
		refused = 4
		cells   = 5
	)
	rules := []struct {
		text  string
		typed []string          // lines, parted by |
		sheet map[string]string // files of a folder of CSV
	}{
		{"OMB-50/3.5 is a lens, not a shutter",
			[]string{"add|donor|--model|W1-A|--shutter|OMB-50/3.5", "add|job|--model|W1-A|--shutter|OMB-50/3.5", "edit|PC-11|--shutter|OMB-50/3.5", "edit|job:105|--shutter|OMB-50/3.5",
				"bought|w1a|14300|20|--shutter|OMB-50/3.5", "arrived|w1a|14300|customer 9|stuck|--shutter|OMB-50/3.5"},
			map[string]string{"donors.csv": "Donor,Model,Shutter\nPC-90,W1-A,OMB-50/3.5\nPC-11,,OMB-50/3.5\n", "jobs.csv": "Job,Model,Shutter\n190,W1-A,OMB-50/3.5\n"}},
		{"ORV-00 is a shutter by itself and carries no lens",
			[]string{"add|donor|--model|ORV-00|--lens|OMB-50/3.5", "add|job|--model|ORV-00|--lens|OMB-50/3.5", "edit|PC-11|--model|ORV-00|--shutter|",
				"bought|orv00|O 1|20|--lens|OMB-50/3.5", "arrived|orv00|O 1|customer 9|stuck|--lens|OMB-50/3.5"},
			map[string]string{"donors.csv": "Donor,Model,Lens\nPC-90,ORV-00,OMB-50/3.5\n", "jobs.csv": "Job,Model,Lens\n190,ORV-00,OMB-50/3.5\n"}},
		{"lens OMB-50/3.5 cannot carry shutter ORV-00: a camera carries shutters and lenses",
			[]string{"edit|OMB-50/3.5|--carries|ORV-00"}, map[string]string{"models.csv": "Model,Carries\nOMB-50/3.5,ORV-00\n"}},
		{"ORV-00 cannot become a lens: donor PC-01 names it as its shutter",
			[]string{"edit|ORV-00|--kind|lens"}, map[string]string{"models.csv": "Model,Kind\nORV-00,lens\n"}},
		{"has no name: say what it is called",
			[]string{"add|part|P900", "add|part|--class|GER", "edit|P003|--name|"}, map[string]string{"parts.csv": "Part,Class\nP900,GER\n"}},
		{"P012 cannot contain P078, which contains it",
			nil, map[string]string{"parts.csv": "Part,Holds\nP012,P078\nP011,P012\n"}},
		{"P011 cannot contain P078, which contains it",
			[]string{"edit|P011|--holds|P078"}, map[string]string{"parts.csv": "Part,Holds\nP011,P078\n"}},
		{"P011 cannot contain itself", []string{"edit|P011|--holds|P011"}, map[string]string{"parts.csv": "Part,Holds\nP011,P011\n"}},
		{"P003 cannot be its own opposite hand", []string{"edit|P003|--twin|P003"}, map[string]string{"parts.csv": "Part,Twin\nP003,P003\n"}},
		{"P001 cannot go over a post of 2.7 mm: it is 2.6 mm outside",
			[]string{"edit|P001|--post|2.7", "measure|p1|--post|2.7"}, map[string]string{"parts.csv": "Part,Post mm\nP001,2.7\n"}},
		{"cannot go with itself", []string{"edit|B202|--goes-with|B202", "add|bag|B900|--quantity|1|--goes-with|B900"}, map[string]string{"bags.csv": "Bag,Goes with\nB202,B202\n"}},
		{"nobody said how many are in", []string{"add|bag|--part|P003", "add|bag|B900|--place|K1"}, map[string]string{"bags.csv": "Bag,Part\nB900,P003\n"}},
		{"no drawer holds 5000000 of", []string{"add|bag|B900|--quantity|5000000", "put|5000000|p3|from|bought|--place|K1"}, map[string]string{"bags.csv": "Bag,Quantity\nB900,5000000\n",
			"moves.csv": "Date,What,Bag,Quantity\n2031-09-01,in,B202,5000000\n"}},
		{"no drawer holds 5000000 of P003", []string{"edit|P003|--keep|5000000", "goes|P003|W2-B|--per-body|5000000"},
			map[string]string{"parts.csv": "Part,Keep\nP003,5000000\n", "goes.csv": "Part,Model,Degree,Per body\nP003,W2-B,direct,5000000\n"}},
		{"nobody works 9999999 minutes on", []string{"made|p3|2|--from|wire|--minutes|9999999"}, map[string]string{"made.csv": "Bag,Material,Minutes\nB202,wire,9999999\n"}},
		{"nobody waits 99999 weeks for another P003: look at the number again",
			[]string{"edit|P003|--weeks-to-find|99999"}, map[string]string{"parts.csv": "Part,Weeks to find\nP003,99999\n"}},
		{"tray J4 has job 106: a tray holds one camera",
			[]string{"add|job|--model|W1-A|--tray|j4", "edit|job:105|--tray|j4", "arrived|w1a|14300|customer 9|stuck|--tray|j4"},
			map[string]string{"jobs.csv": "Job,Model,Tray\n190,W1-A,J4\n"}},
		{"direct stands alone: it cannot be no as well",
			[]string{"goes|P003|W2-B|--degree|direct|--degree|no"}, map[string]string{"goes.csv": "Part,Model,Degree\nP003,W2-B,direct;no\n"}},
		{"rework names its operation: what is to be done to P003 for W2-B?",
			[]string{"goes|P003|W2-B|--degree|rework"}, map[string]string{"goes.csv": "Part,Model,Degree\nP003,W2-B,rework\n"}},
		{"no number lies from 14000 to 11851: the lower stands first",
			[]string{"goes|P003|W2-B|--from-no|14000|--to-no|11851"}, map[string]string{"goes.csv": "Part,Model,Degree,From no,To no\nP003,W2-B,direct,14000,11851\n"}},
		{"cannot be closed on 2031-01-01: it was opened on",
			[]string{"edit|job:105|--closed|2031-01-01", "add|job|--model|W1-A|--opened|2031-08-01|--closed|2031-01-01"},
			map[string]string{"jobs.csv": "Job,Model,Opened,Closed\n190,W1-A,2031-08-01,2031-01-01\n"}},
		{"cannot be bought on 2031-08-30 and booked on 2031-08-01, before that",
			[]string{"add|donor|--model|W1-A|--bought|2031-08-30|--booked|2031-08-01"}, map[string]string{"donors.csv": "Donor,Model,Bought,Booked\nPC-90,W1-A,2031-08-30,2031-08-01\n"}},
		{"B202 is fitted, and money stands with what was sold", nil,
			map[string]string{"moves.csv": "Date,What,Bag,Quantity,Job,Amount\n2031-09-01,fitted,B202,1,105,5.00\n"}},
		{"on 2031-01-20 B202 was not here yet: it came on 2031-02-02",
			[]string{"move|b202|K2|--at|2031-01-20", "grade|b202|usable|--why|x|--at|2031-01-20"}, map[string]string{"moves.csv": "Date,What,Bag,To\n2031-01-20,moved,B202,K2\n"}},
		{"the hole 8@55,10 lies outside P070, 57 x 34 mm: x runs along its width, y along its length, from the lower left",
			[]string{"edit|P070|--holes|8@55,10"}, map[string]string{"parts.csv": "Part,Holes\nP070,\"8@55,10\"\n"}},
		{"the hole 8@55,10 lies outside P900, 57 x 34 mm",
			[]string{"add|part|P900|panel|--class|COV|--width|57|--length|34|--holes|8@55,10"}, map[string]string{"parts.csv": "Part,Name,Class,Width mm,Length mm,Holes\nP900,panel,COV,57,34,\"8@55,10\"\n"}},
		{"the hole 4@6,6 lies outside P070, 5 x 34 mm", []string{"measure|p70|--width|5", "edit|P070|--width|5"}, map[string]string{"parts.csv": "Part,Width mm\nP070,5\n"}},
		{"a corner of 17.5 mm has no room: P070 is 34 mm across",
			[]string{"edit|P070|--corner|17.5"}, map[string]string{"parts.csv": "Part,Corner mm\nP070,17.5\n"}},
		{"P070 cannot be its own mirror image", []string{"edit|P070|--mirror|P070"}, map[string]string{"parts.csv": "Part,Mirror\nP070,P070\n"}},
		{"the flaw 10x10@300,5 lies outside B291, 210 x 297 mm: x runs along its width, y along its length, from the lower left",
			[]string{"edit|B291|--flaws|10x10@300,5"}, map[string]string{"bags.csv": "Bag,Flaws\nB291,\"10x10@300,5\"\n"}},
		{"the flaw 9x9@80,5 lies outside B900, 80 x 60 mm",
			[]string{"add|bag|B900|--part|P072|--quantity|1|--width|80|--length|60|--flaws|9x9@80,5"},
			map[string]string{"bags.csv": "Bag,Part,Quantity,Width mm,Length mm,Flaws\nB900,P072,1,80,60,\"9x9@80,5\"\n"}},
		{"the flaw 18@150,40 lies outside SK-1, 140 x 297 mm", []string{"edit|SK-1|--width|140", "measure|sk-1|--width|140", "edit|SKIN-1|--width|140", "measure|SKIN-1|--width|140"},
			map[string]string{"bags.csv": "Bag,Width mm\nSK-1,140\n", "parts.csv": "Part,Width mm\nSKIN-1,140\n"}},
		{"does not say how it stretches: write along little, across much",
			[]string{"edit|B291|--stretch|sideways"}, map[string]string{"bags.csv": "Bag,Stretch\nB291,sideways\n"}},
		{`runs "slantwise" is none of length, width`, []string{"edit|B291|--runs|slantwise", "edit|P070|--runs|slantwise"},
			map[string]string{"bags.csv": "Bag,Runs\nB291,slantwise\n", "parts.csv": "Part,Runs\nP070,slantwise\n"}},
		{`up "left" is none of length, width`, []string{"edit|P070|--up|left"}, map[string]string{"parts.csv": "Part,Up\nP070,left\n"}},
		{`whole "half" is none of whole, torn`, []string{"edit|B291|--whole|half"}, map[string]string{"bags.csv": "Bag,Whole\nB291,half\n"}},
		{`history "good" is none of`,
			[]string{"add|donor|--model|W1-A|--history|good", "edit|PC-11|--history|good", "bought|w1a|14300|20|--history|good", "look|pc11|--history|good", "odds|--history|good"},
			map[string]string{"donors.csv": "Donor,Model,History\nPC-90,W1-A,good\n"}},
	}
	b := newTypist(t)
	b.env.Terminal = false
	before, _ := b.run("", 0, "log", "--json")
	for _, r := range rules {
		for _, typed := range r.typed {
			code := refused
			if strings.Contains(r.text, "is none of") || strings.HasPrefix(r.text, "does not say") {
				code = 2 // a word that is not understood
			}
			_, said := b.run("", code, strings.Split(typed, "|")...)
			holds(t, typed+": "+said, r.text)
		}
		for name, rows := range r.sheet {
			dir := t.TempDir()
			if err := os.WriteFile(filepath.Join(dir, name), []byte(rows), 0o600); err != nil {
				t.Fatal(err)
			}
			_, said := b.run("", cells, "import", dir, "--dry-run")
			holds(t, rows+": "+said, r.text)
		}
	}
	if after, _ := b.run("", 0, "log", "--json"); after != before {
		t.Errorf("something was booked:\n%s\n%s", before, after)
	}
}

// A shutter or lens by itself is a parts camera or a job through every entrance.
func TestShutterByItself(t *testing.T) {
	b := newTypist(t)
	b.env.Terminal = false
	for _, typed := range []string{"add|donor|--model|ORV-00", "add|job|--model|OMB-50/3.5|--owner|customer 9", "bought|orv00|O 240 019|12", "bought|omb-50/3.5|none|9|post|1",
		"arrived|hal00|H 99 001|customer 9|slow", "arrived|omb-50/2.8|none|customer 9|haze"} {
		b.run("", 0, strings.Split(typed, "|")...)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "jobs.csv"), []byte("Job,Model\n190,HAL-00\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	b.run("", 0, "import", dir)
	for _, code := range []string{"pc15", "pc16", "pc17", "job:109", "job:110", "job:111", "job:190"} {
		b.run("", 0, "show", code)
	}
	b.run("", 0, "need", "p11", "--job", "110")
	b.run("", 0, "odds", "--part", "p11")
	b.run("", 0, "check")
}

// The length of a compression spring is read as its free length through every
// entrance, and said. P017 is one (parts.csv, 7.5 mm free).
func TestLengthIsFreeLength(t *testing.T) {
	b := newTypist(t)
	b.env.Terminal = false
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "parts.csv"), []byte("Part,Name,Class,Length mm\nP090,push spring,SPR-CMP,8\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for typed, part := range map[string]string{"add|part|P091|push spring|--class|SPR-CMP|--length|8": "P091", "edit|p17|--length|8": "P017", "measure|p18|--length|8": "P018", "import|" + dir: "P090"} {
		_, said := b.run("", 0, strings.Split(typed, "|")...)
		holds(t, said, "length 8 of "+part+" is read as its free length: a compression spring has no other")
		shown, _ := b.run("", 0, "show", part, "--json")
		holds(t, shown, `"free_length":8`)
		if strings.Contains(shown, `"length":8`) {
			t.Errorf("%s has a length: %s", part, shown)
		}
	}
}
