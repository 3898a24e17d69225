package web_test

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"testing"

	"barwright/store"
	"barwright/web"
)

// TestMain plays a workshop that can be killed when it is told to, and else runs
// the tests.
func TestMain(m *testing.M) {
	if dir := os.Getenv("WEB_TEST_SERVE"); dir != "" {
		err := serveUntilKilled(dir, os.Getenv("WEB_TEST_ADDRESS"), os.Getenv("WEB_TEST_HOST"))
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1) // and never the tests, which would start more of these
	}
	os.Exit(m.Run())
}

func serveUntilKilled(dir, addr, host string) error {
	s, err := store.Open(context.Background(), dir)
	if err != nil {
		return err
	}
	app, err := web.New(s, doorFor(host))
	if err != nil {
		return err
	}
	l, err := net.Listen("tcp", addr)
	if err != nil {
		return err
	}
	fmt.Println("serving")
	return http.Serve(l, app.Handler())
}
