package store

import (
	"os"
	"regexp"
	"slices"
	"testing"
)

// The key table of doc.go names every bucket once and no other. The source is
// the file format itself: a bucket without a row has no meaning anybody can look
// up.
func TestKeyTableNamesEveryBucket(t *testing.T) {
	text, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	var named []string
	for _, row := range regexp.MustCompile(`(?m)^//\t([a-z_]+) {2,}\S`).FindAllSubmatch(text, -1) {
		if name := string(row[1]); name != "bucket" { // the heading
			named = append(named, name)
		}
	}
	for _, b := range buckets {
		if !slices.Contains(named, b) {
			t.Errorf("bucket %q has no row in the key table of doc.go", b)
		}
	}
	slices.Sort(named)
	for i, b := range named {
		if i > 0 && named[i-1] == b {
			t.Errorf("bucket %q has two rows in the key table of doc.go", b)
		}
		if !slices.Contains(buckets, b) {
			t.Errorf("the key table of doc.go names %q, which is no bucket", b)
		}
	}
}

// What the table says of meta is what a store holds: a booking writes no other
// name there.
func TestKeyTableNamesMeta(t *testing.T) {
	text, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	s := newStore(t)
	err = s.View(func(v *View) error {
		return v.bucket(bMeta).ForEach(func(k, _ []byte) error {
			name := regexp.MustCompile(`^(series/|set/).*`).ReplaceAllString(string(k), "$1")
			if !regexp.MustCompile(`"` + regexp.QuoteMeta(name) + `"`).Match(text) {
				t.Errorf("meta holds %q, which the key table of doc.go does not name", k)
			}
			return nil
		})
	})
	if err != nil {
		t.Fatal(err)
	}
}
