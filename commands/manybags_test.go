package commands

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// ManyBags writes the sheets of a workshop with so many bags of a thousand pieces, so many
// of them of a part.
func ManyBags(tb testing.TB, bags, each int) string {
	tb.Helper()
	folder := tb.TempDir()
	write := func(name, head string, rows func(w io.Writer)) {
		var b bytes.Buffer
		fmt.Fprintln(&b, head)
		rows(&b)
		if err := os.WriteFile(filepath.Join(folder, name), b.Bytes(), 0o644); err != nil {
			tb.Fatal(err)
		}
	}
	parts := (bags + each - 1) / each
	write("models.csv", "Model,Kind,Name", func(w io.Writer) { fmt.Fprintln(w, "M-1,camera,folder for 127 film") })
	write("places.csv", "Place,Where", func(w io.Writer) { fmt.Fprintln(w, "K1,drawer 1") })
	write("jobs.csv", "Job,Model,Owner,State", func(w io.Writer) { fmt.Fprintln(w, "101,M-1,customer 1,in work") })
	write("parts.csv", "Part,Name,Class", func(w io.Writer) {
		for i := range parts {
			fmt.Fprintf(w, "P%05d,movement screw %d,cheese-head screw\n", i, i)
		}
	})
	write("goes.csv", "Part,Model,Degree,Evidence", func(w io.Writer) {
		for i := range parts {
			fmt.Fprintf(w, "P%05d,M-1,direct,run\n", i)
		}
	})
	write("bags.csv", "Bag,Part,Origin,Quantity,Grade,Place,Owner", func(w io.Writer) {
		for i := range bags {
			fmt.Fprintf(w, "B%05d,P%05d,bought,1000,new,K1,own\n", i, i/each)
		}
	})
	return folder
}
