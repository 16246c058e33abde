package page

import (
	"crypto/rand"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"tinful/store"
)

// A fault of the program on one screen is answered as one, and leaves nothing shut: who
// asks next is answered, and who books has a turn.
func TestFaultShutsNothing(t *testing.T) {
	const host = "127.0.0.1:1"
	b := Bench{
		View: func(func(*store.View) error) error { panic("a mistake") },
		Line: func([]string, bool, io.Writer) (int, string) { panic("a mistake") },
		Keep: func([]string, func(*store.Store, store.Head) error) error { panic("a mistake") },
		Book: func([]string, bool, func(*store.Tx) error) (store.Result, error) { panic("a mistake") },
		Says: func(err error) string { return err.Error() },
	}
	p, err := New(b, Options{Hosts: []string{host}, Now: time.Now, Random: rand.Read})
	if err != nil {
		t.Fatal(err)
	}
	asked := func(method, path, form string) int {
		r := httptest.NewRequest(method, "http://"+host+path, strings.NewReader(form))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", "http://"+host)
		r.AddCookie(p.keys.cookie(r))
		answer := make(chan int, 1)
		go func() {
			w := httptest.NewRecorder()
			p.ServeHTTP(w, r)
			answer <- w.Code
		}()
		select {
		case code := <-answer:
			return code
		case <-time.After(10 * time.Second):
			t.Fatalf("%s is not answered", path)
			return 0
		}
	}
	word, err := p.keys.word("/begin/K1")
	if err != nil {
		t.Fatal(err)
	}
	for range mostAtOnce + 1 {
		for _, ask := range [][3]string{{"GET", "/jobs", ""}, {"GET", "/strip/donor/PC-11", ""}, {"GET", "/log?format=json", ""}, {"POST", "/begin/K1", "once=" + word}} {
			if code := asked(ask[0], ask[1], ask[2]); code != http.StatusInternalServerError {
				t.Errorf("%s: %d", ask[1], code)
			}
		}
	}
}
