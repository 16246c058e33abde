package page

import (
	"context"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"
)

// Listen listens on this machine alone, or with house set on its addresses in the local
// net too: those that no other net leads to. Port 0 takes any that is free. The first
// address is the one to open.
func Listen(house bool, port int) ([]net.Listener, error) {
	hosts := []string{"127.0.0.1"}
	if house {
		local, err := localAddresses()
		if err != nil {
			return nil, err
		}
		hosts = append(local, hosts...)
	}
	var out []net.Listener
	for _, host := range hosts {
		l, err := net.Listen("tcp", net.JoinHostPort(host, strconv.Itoa(port)))
		if err != nil {
			for _, l := range out {
				_ = l.Close() // nothing was served
			}
			return nil, err
		}
		port = l.Addr().(*net.TCPAddr).Port // the same on each
		out = append(out, l)
	}
	return out, nil
}

// ErrNoHouse is returned when the machine has no address in a local net.
var ErrNoHouse = errors.New("this machine has no address in a local net")

// localAddresses are the addresses of this machine that lead nowhere from outside: RFC
// 1918 and RFC 4193.
func localAddresses() (out []string, err error) {
	all, err := net.InterfaceAddrs()
	for _, a := range all {
		if n, ok := a.(*net.IPNet); ok && n.IP.IsPrivate() {
			out = append(out, n.IP.String())
		}
	}
	slices.SortStableFunc(out, func(a, b string) int { return len(a) - len(b) }) // the shorter is typed more easily
	if len(out) == 0 && err == nil {
		err = ErrNoHouse
	}
	return out, err
}

// Hosts are the names under which listeners are asked.
func Hosts(all []net.Listener) (out []string) {
	for _, l := range all {
		a := l.Addr().(*net.TCPAddr)
		out = append(out, a.String())
		if a.IP.IsLoopback() {
			out = append(out, net.JoinHostPort("localhost", strconv.Itoa(a.Port)))
		}
	}
	return out
}

// Bounds of a request. Whoever sends slowly holds a connection for so long and nothing
// else; a connection is one of mostConnections.
const (
	headWithin      = 5 * time.Second
	readWithin      = 20 * time.Second
	sendWithin      = 90 * time.Second // a form with pictures
	answerWithin    = 60 * time.Second
	idleFor         = 30 * time.Second
	mostHead        = 16 << 10
	mostConnections = 64
)

// Serve answers until ctx ends, and lets what is being answered end.
func (p *Page) Serve(ctx context.Context, all []net.Listener) error {
	s := &http.Server{Handler: p, ReadHeaderTimeout: headWithin, ReadTimeout: readWithin, WriteTimeout: answerWithin, IdleTimeout: idleFor, MaxHeaderBytes: mostHead,
		ErrorLog: log.New(io.Discard, "", 0)}
	room := make(chan struct{}, mostConnections)
	failed := make(chan error, len(all))
	var served sync.WaitGroup
	for _, l := range all {
		served.Go(func() { failed <- s.Serve(&bounded{l, room}) })
	}
	var err error
	select {
	case <-ctx.Done():
		end, cancel := context.WithTimeout(context.Background(), 3*time.Second)
		defer cancel()
		if s.Shutdown(end) != nil {
			_ = s.Close() // whoever is still there does not end
		}
	case err = <-failed:
		_ = s.Close() // the error of the one that failed says it
	}
	served.Wait()
	return err
}

// A bounded listener has at most so many connections open.
type bounded struct {
	net.Listener
	room chan struct{}
}

func (b *bounded) Accept() (net.Conn, error) {
	b.room <- struct{}{}
	c, err := b.Listener.Accept()
	if err != nil {
		<-b.room
		return nil, err
	}
	return &counted{Conn: c, room: b.room}, nil
}

// A counted connection gives its place back once.
type counted struct {
	net.Conn
	once sync.Once
	room chan struct{}
}

func (c *counted) Close() error {
	c.once.Do(func() { <-c.room })
	return c.Conn.Close()
}

// CloseWrite says that all is answered: who still sends then reads the answer instead of
// losing the connection.
func (c *counted) CloseWrite() error {
	if end, ok := c.Conn.(interface{ CloseWrite() error }); ok {
		return end.CloseWrite()
	}
	return nil
}
