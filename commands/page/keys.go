package page

import (
	"crypto/hmac"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/binary"
	"errors"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"
)

// keyLife is how long a key opens the page: a day at the bench.
const keyLife = 12 * time.Hour

// errKey is returned when a form has no word of this run's key, or one that is spent.
var errKey = errors.New("this form is from an earlier start of the program, or older than the page remembers: open the screen again and send it from there")

// A key opens the page: open in the address, kept in the cookie, and secret behind the
// words of forms. The three say nothing of each other.
type key struct {
	open, kept string
	secret     []byte
	born       time.Time
}

// A keyring has the key of now. One that has run out is followed by another.
type keyring struct {
	mu     sync.Mutex
	now    func() time.Time
	random func([]byte) (int, error)
	key    key
	told   func(string)
}

func newKeyring(random func([]byte) (int, error), now func() time.Time, told func(string)) (*keyring, error) {
	k := &keyring{now: now, random: random, told: told}
	var err error
	k.key, err = k.newKey()
	return k, err
}

func (k *keyring) newKey() (key, error) {
	b := make([]byte, 16+16+32)
	if _, err := k.random(b); err != nil {
		return key{}, err
	}
	text := base64.RawURLEncoding.EncodeToString
	return key{open: text(b[:16]), kept: text(b[16:32]), secret: b[32:], born: k.now()}, nil
}

// current is the key of now.
func (k *keyring) current() key {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.now().Sub(k.key.born) < keyLife {
		return k.key
	}
	next, err := k.newKey()
	if err != nil {
		return key{} // opens nothing
	}
	k.key = next
	if k.told != nil {
		k.told(next.open)
	}
	return k.key
}

func same(a, b string) bool { return b != "" && subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// isKey tells whether a text is the key of now.
func (k *keyring) isKey(text string) bool { return same(text, k.current().open) }

// opens tells whether a request has the cookie of the key of now.
func (k *keyring) opens(r *http.Request) bool {
	c, err := r.Cookie(cookieName(r))
	return err == nil && same(c.Value, k.current().kept)
}

// cookieName has the port in it: browsers do not part cookies by port, and two pages may
// be open on one machine.
func cookieName(r *http.Request) string {
	_, port, _ := net.SplitHostPort(r.Host)
	return "tinful-" + port
}

func (k *keyring) cookie(r *http.Request) *http.Cookie {
	now := k.current()
	return &http.Cookie{Name: cookieName(r), Value: now.kept, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int((keyLife - k.now().Sub(now.born)) / time.Second)}
}

// word is what a form that is sent to path has in it, once: when it was made, something
// that nobody guesses, and a sum of both and the path that only this run can make.
func (k *keyring) word(path string) (string, error) {
	b := make([]byte, 8+16)
	if _, err := k.random(b[8:]); err != nil {
		return "", err
	}
	binary.BigEndian.PutUint64(b, uint64(k.now().UnixNano()))
	text := base64.RawURLEncoding.EncodeToString
	return text(b) + "." + text(k.sum(b, path)), nil
}

func (k *keyring) sum(b []byte, path string) []byte {
	m := hmac.New(sha256.New, k.current().secret)
	m.Write(b)
	m.Write([]byte(path))
	return m.Sum(nil)
}

// spoken reads the word of a form sent to path, and says when it was made. It returns
// errKey for one that this run did not make for that path.
func (k *keyring) spoken(word, path string) (time.Time, error) {
	head, sum, _ := strings.Cut(word, ".")
	b, err := base64.RawURLEncoding.DecodeString(head)
	s, serr := base64.RawURLEncoding.DecodeString(sum)
	if err != nil || serr != nil || len(b) != 24 || !hmac.Equal(s, k.sum(b, path)) {
		return time.Time{}, errKey
	}
	return time.Unix(0, int64(binary.BigEndian.Uint64(b))), nil
}
