package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// A Stamp is what an export says of where it is from, so that what was changed in it
// since can be told. A workbook has it among its properties, as its keywords; a folder
// as the file export.csv.
type Stamp struct {
	Store   string // the identity of the store, empty where nothing is said
	Booking uint64 // the last booking that it holds
	Chosen  string // what was chosen of the store, empty for all: place=K1
}

// stampWord begins the property.
const stampWord = "workshop-export"

// String is the property as it is written.
func (s Stamp) String() string {
	if s.Store == "" {
		return ""
	}
	return fmt.Sprintf("%s store=%s booking=%d chosen=%s", stampWord, s.Store, s.Booking, s.Chosen)
}

// parseStamp reads a property; the zero Stamp where it is another.
func parseStamp(text string) (s Stamp) {
	rest, ok := strings.CutPrefix(strings.TrimSpace(text), stampWord+" ")
	if !ok {
		return s
	}
	rest, s.Chosen, _ = strings.Cut(rest, " chosen=")
	_, _ = fmt.Sscanf(rest, "store=%s booking=%d", &s.Store, &s.Booking)
	s.Chosen = strings.TrimSpace(s.Chosen)
	return s
}

// stampFile is the name of the file of a folder that has the stamp.
const stampFile = "export.csv"

// writeStamp writes the file of a folder.
func writeStamp(file string, s Stamp) error {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	_ = w.WriteAll([][]string{{"Store", "Booking", "Chosen"}, {s.Store, strconv.FormatUint(s.Booking, 10), s.Chosen}}) // into memory
	return os.WriteFile(file, b.Bytes(), 0o666)
}

// readStamp reads the file of a folder; what is none says nothing.
func readStamp(dir string) (s Stamp) {
	rows, err := textGrid(filepath.Join(dir, stampFile))
	if err != nil || len(rows) < 2 || len(rows[1]) < 3 || len(rows[0]) < 3 || fold(rows[0][0]) != "store" {
		return s
	}
	s.Store, s.Chosen = rows[1][0], rows[1][2]
	s.Booking, _ = strconv.ParseUint(rows[1][1], 10, 64)
	return s
}

// stamp reads the property of a workbook; damage of what is only a remark says nothing.
func (w *workbook) stamp() (s Stamp) {
	member, root, tag := coreMember, "coreProperties", "keywords"
	if w.ods {
		member, root, tag = "meta.xml", "document-meta", "keyword"
	}
	if !w.has(member) {
		return s
	}
	_ = w.markup(member, root, func(m *markup, t token) error {
		if t == tagOpens && string(m.local) == tag {
			s = parseStamp(string(m.textOf(nil)))
		}
		return nil
	})
	return s
}

// coreMember is the member of a workbook with its properties.
const coreMember = "docProps/core.xml"

// core is what a workbook says of itself: where it is from, and neither who made it nor
// when.
func core(s Stamp) []byte {
	var keywords bytes.Buffer
	_ = xml.EscapeText(&keywords, []byte(s.String())) // into memory
	return []byte(`<?xml version="1.0" encoding="UTF-8" standalone="yes"?>
<cp:coreProperties xmlns:cp="http://schemas.openxmlformats.org/package/2006/metadata/core-properties"><cp:keywords>` + keywords.String() + `</cp:keywords></cp:coreProperties>`)
}
