package main

import (
	gocontext "context"
	"fmt"
	"log"
	"os"
	"os/signal"
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
	dir, err := os.MkdirTemp("", "barwright-demo-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	s, err := store.Open(bg, dir)
	if err != nil {
		return err
	}
	defer s.Close()
	workshop := demo.NinthLock
	if c.Student {
		workshop = demo.Student
	}
	if err := demo.Fill(bg, s, workshop, time.Now()); err != nil {
		return err
	}
	fmt.Fprintln(ctx.stdout, "The demo workshop, invented, in a copy that is thrown away when this stops.")
	e := entrance{addr: c.Addr, log: log.New(ctx.stderr, "barwright: ", 0)}
	return serve(bg, ctx, s, e, web.Options{Log: e.log, Demo: true})
}
