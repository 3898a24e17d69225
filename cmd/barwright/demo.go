package main

import (
	gocontext "context"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"os"
	"os/signal"
	"sync"
	"syscall"
	"time"

	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

type demoCommand struct {
	Addr    string `default:"127.0.0.1:8420" help:"Address to listen on."`
	Student bool   `help:"The student's small workshop instead."`
}

// Run serves a throw-away copy of the demo workshop.
func (c *demoCommand) Run(ctx context) error {
	bg, stop := signal.NotifyContext(gocontext.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	workshop := demo.NinthLock
	if c.Student {
		workshop = demo.Student
	}
	s, throwAway, err := openDemo(bg, workshop)
	if err != nil {
		return err
	}
	defer throwAway()
	fmt.Fprintln(ctx.stdout, "The demo workshop, invented, in a copy that is thrown away when this stops.")
	e := entrance{addr: c.Addr, log: log.New(ctx.stderr, "barwright: ", 0)}
	return serve(bg, ctx, s, e, web.Options{Log: e.log, Demo: true})
}

// openDemo fills a copy of a demo workshop, which throwAway deletes.
func openDemo(ctx gocontext.Context, workshop string) (s *store.Store, throwAway func(), err error) {
	dir, err := os.MkdirTemp("", "barwright-demo-")
	if err != nil {
		return nil, nil, err
	}
	if s, err = store.Open(ctx, dir); err != nil {
		return nil, nil, errors.Join(err, os.RemoveAll(dir))
	}
	throwAway = func() {
		s.Close()
		os.RemoveAll(dir)
	}
	if err := demo.Fill(ctx, s, workshop, time.Now()); err != nil {
		throwAway()
		return nil, nil, err
	}
	return s, throwAway, nil
}

// sideDemo is the demo workshop beside the one that is served, for somebody
// who wants to look around first. It starts when it is first asked for.
type sideDemo struct {
	log    *log.Logger
	mu     sync.Mutex
	at     string
	server *http.Server
	close  func()
}

// open returns where the demo is served, on this computer only.
func (d *sideDemo) open() (string, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.at != "" {
		return d.at, nil
	}
	s, throwAway, err := openDemo(gocontext.Background(), demo.NinthLock)
	if err != nil {
		return "", err
	}
	app, err := web.New(s, web.Options{Log: d.log, Demo: true})
	if err != nil {
		throwAway()
		return "", err
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		throwAway()
		return "", err
	}
	d.server, d.close = newServer(app.Handler(), d.log), throwAway
	go d.server.Serve(l)
	d.at = "http://" + l.Addr().String()
	return d.at, nil
}

// end stops the demo and throws it away, when it was started.
func (d *sideDemo) end() {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.at != "" {
		d.server.Close()
		d.close()
	}
}
