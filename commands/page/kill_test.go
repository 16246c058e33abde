package page_test

import (
	"encoding/json"
	"html"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// A caller asks the page without a browser.
type caller struct {
	*bench
	client *http.Client
}

func (b *bench) caller() *caller {
	jar, _ := cookiejar.New(nil)
	c := &caller{b, &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}}
	if _, err := c.get(strings.TrimPrefix(b.address, b.root)); err != nil {
		b.t.Fatal(err)
	}
	return c
}

func (c *caller) get(path string) (string, error) {
	r, err := c.client.Get(c.root + path)
	if err != nil {
		return "", err
	}
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	return string(text), err
}

var formPattern = regexp.MustCompile(`(?s)<form method="post" action="([^"]*)".*?</form>`)
var inputPattern = regexp.MustCompile(`<input type="hidden" name="([^"]*)" value="([^"]*)">`)

// send sends the form of a screen that goes to path, and returns where it leads.
func (c *caller) send(screen, path string, with ...string) (to string, err error) {
	text, err := c.get(screen)
	if err != nil {
		return "", err
	}
	form := url.Values{}
	for _, m := range formPattern.FindAllStringSubmatch(text, -1) {
		if m[1] == path && len(form) == 0 {
			for _, in := range inputPattern.FindAllStringSubmatch(m[0], -1) {
				form.Set(in[1], html.UnescapeString(in[2]))
			}
		}
	}
	for i := 0; i+1 < len(with); i += 2 {
		form.Set(with[i], with[i+1])
	}
	r, err := http.NewRequest("POST", c.root+path, strings.NewReader(form.Encode()))
	if err != nil {
		return "", err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", c.root)
	res, err := c.client.Do(r)
	if err != nil {
		return "", err
	}
	defer res.Body.Close()
	return res.Header.Get("Location"), nil
}

// A page that is killed while it books leaves what it answered, and nothing by half.
func TestKilledWhileThePageBooks(t *testing.T) {
	rounds := 5
	if os.Getenv("TINFUL_SOAK") != "" {
		rounds = 50
	}
	for round := range rounds {
		b := serve(t)
		b.killed = true
		c := b.caller()
		before := b.bookings()
		var answered atomic.Int64
		done := make(chan bool)
		go func() {
			defer close(done)
			for i := 0; ; i++ {
				path := []string{"/fit", "/return"}[i%2]
				to, err := c.send("/bag/B283?on=105", path, "n", "1")
				if err != nil {
					return
				}
				if strings.Contains(to, "told=") {
					answered.Add(1)
				}
			}
		}()
		time.Sleep(time.Duration(60+37*round) * time.Millisecond)
		if err := b.process.Kill(); err != nil {
			t.Fatal(err)
		}
		<-done
		if text := b.line("check", "--json"); !strings.Contains(text, `"ok":true`) {
			t.Fatalf("check says %s", text)
		}
		made := int64(b.bookings() - before)
		if n := answered.Load(); made < n || made > n+1 {
			t.Errorf("%d bookings were answered, %d are in the book", n, made)
		}
	}
}

// bookings is how many the store has.
func (b *bench) bookings() int {
	b.t.Helper()
	var log struct {
		Bookings []struct {
			Booking int
			Entries []json.RawMessage
		}
	}
	if err := json.Unmarshal([]byte(b.line("log", "--json")), &log); err != nil {
		b.t.Fatal(err)
	}
	for _, x := range log.Bookings {
		if len(x.Entries) == 0 {
			b.t.Errorf("booking %d has no entry", x.Booking)
		}
	}
	return len(log.Bookings)
}
