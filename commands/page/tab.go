package page

import (
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// A tab is what travels in the addresses and forms of one tab of a browser, and where it
// stands: the program holds none of it.
type tab struct {
	r   *http.Request
	On  code.Code // the job in hand
	Did uint64    // what undo takes back
}

// given is what a request says under a name: a form in its body, else the address.
func (t *tab) given(name string) string {
	if t.r.Method == http.MethodPost {
		return words.Narrow(strings.TrimSpace(t.r.PostForm.Get(name)))
	}
	return words.Narrow(strings.TrimSpace(t.r.URL.Query().Get(name)))
}

// Link is an address of the page that takes along what the tab has in hand.
func (t *tab) Link(path string, pairs ...string) string {
	q := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			q.Set(pairs[i], pairs[i+1])
		}
	}
	if t.On != "" && !q.Has("on") {
		q.Set("on", string(t.On))
	}
	if t.Did != 0 && !q.Has("did") {
		q.Set("did", strconv.FormatUint(t.Did, 10))
	}
	if q.Get("on") == "-" {
		q.Del("on")
	}
	return strings.TrimSuffix((&url.URL{Path: path}).EscapedPath()+"?"+q.Encode(), "?")
}

// Thing is the address of a thing.
func (t *tab) Thing(kind string, c code.Code, pairs ...string) string {
	return t.Link("/"+kind+"/"+url.PathEscape(string(c)), pairs...)
}

// Here is the address of this screen without what was said once.
func (t *tab) Here() string {
	u := *t.r.URL
	q := u.Query()
	for _, once := range []string{"told", "did", "key", "n"} { // what was taken is not taken again by one more Enter
		q.Del(once)
	}
	return strings.TrimSuffix(u.EscapedPath()+"?"+q.Encode(), "?")
}

// JSON is the address of the same answer as JSON.
func (t *tab) JSON() string {
	u := *t.r.URL
	q := u.Query()
	for _, once := range []string{"told", "did"} {
		q.Del(once)
	}
	q.Set("format", "json")
	return u.EscapedPath() + "?" + q.Encode()
}

// back is where a form leads: a form that is shown again leads where it led before.
func (t *tab) back() string {
	if t.r.Method == http.MethodPost {
		return ownAddress(t.given("back"))
	}
	return t.Here()
}

// after is where a tab goes when something was booked: back, with the booking to take
// back and what it changed.
func (t *tab) after(back string, res store.Result) string {
	u, err := url.Parse(ownAddress(back))
	if err != nil {
		return "/"
	}
	q := u.Query()
	if n := res.Booking.Number; n != 0 {
		text := strconv.FormatUint(n, 10)
		q.Set("told", text)
		if q.Set("did", text); res.Booking.Kind == "undo" {
			q.Del("did")
		}
	}
	if q.Del("on"); t.On != "" {
		q.Set("on", string(t.On))
	}
	u.RawQuery = q.Encode()
	return u.String()
}

// Return is where a page leads back that has no answer.
func (t *tab) Return() string {
	if t.r.Method == http.MethodPost {
		return t.back()
	}
	return t.Link("/")
}

// fields are those of the form that was sent, with one of them said anew.
func (t *tab) fields(name, value string) (out []field) {
	for n, all := range t.r.PostForm {
		if n == name && n != "chosen" || n == "once" || n == "back" || n == "on" || n == "why" && name == "anyway" {
			continue
		}
		for _, x := range all {
			out = append(out, field{n, x})
		}
	}
	if name != "" {
		out = append(out, field{name, value})
	}
	return out
}

// ownAddress is an address within the page, the first screen for any other.
func ownAddress(text string) string {
	u, err := url.Parse(text)
	if err != nil || u.Host != "" || u.Scheme != "" || u.Opaque != "" || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(u.Path, "//") || strings.Contains(u.Path, `\`) {
		return "/"
	}
	return strings.TrimSuffix((&url.URL{Path: u.Path}).EscapedPath()+"?"+u.RawQuery, "?")
}
