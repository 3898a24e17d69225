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
	"syscall"
	"time"

	"barwright/store"
	"barwright/web"
)

type serveCommand struct {
	Addr string `default:"127.0.0.1:8420" help:"Address to listen on."`
	Data string `placeholder:"DIR" help:"Data folder, or the address of a PostgreSQL database (postgres://…)."`
}

// Run serves the workshop until it is interrupted.
func (c *serveCommand) Run(ctx context) error {
	bg, stop := signal.NotifyContext(gocontext.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	s, err := openData(bg, c.Data)
	if err != nil {
		return err
	}
	defer s.Close()
	return serve(bg, ctx, s, c.Addr, web.Options{Log: log.New(ctx.stderr, "barwright: ", 0)})
}

// dataDir is the folder named, or the usual one of this person.
func dataDir(named string) (string, error) {
	if named != "" {
		return named, nil
	}
	config, err := os.UserConfigDir()
	if err != nil {
		return "", &hinted{"no home folder to keep the workshop in", "name a folder with --data"}
	}
	return config + "/barwright", nil
}

// serve listens and answers until bg is done.
func serve(bg gocontext.Context, ctx context, s *store.Store, addr string, o web.Options) error {
	app, err := web.New(s, o)
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return &hinted{fmt.Sprintf("cannot listen on %s: %v", addr, err), "is another barwright running? name another address with --addr"}
	}
	fmt.Fprintf(ctx.stdout, "Open http://%s in a browser. Ctrl-C stops it.\n", l.Addr())
	server := &http.Server{Handler: app.Handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, WriteTimeout: time.Minute, IdleTimeout: 2 * time.Minute}
	go func() {
		<-bg.Done()
		down, cancel := gocontext.WithTimeout(gocontext.Background(), 5*time.Second)
		defer cancel()
		server.Shutdown(down)
	}()
	if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}
