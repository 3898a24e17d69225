package main

import (
	"io"
	"net"
	"strings"
	"testing"
)

// A request over plain HTTP is read to its end before it is answered, because
// else a system may throw the answer away with what was not read (RFC 1122,
// 4.2.2.13). TLS comes through as it is.
func TestPlainHTTPIsReadBeforeItIsAnswered(t *testing.T) {
	t.Parallel()
	browser, server := net.Pipe() // which hands over what is read and nothing else
	sent := make(chan error, 1)
	go func() {
		_, err := io.WriteString(browser, "GET / HTTP/1.1\r\nHost: x\r\nCookie: "+strings.Repeat("x", 20_000)+"\r\n\r\n")
		sent <- err
	}()
	go func() {
		c := &firstByte{Conn: server, install: func() []string { return nil }}
		if n, err := c.Read(make([]byte, 600)); n != 0 || err != io.EOF {
			t.Errorf("TLS would read %d bytes, %v", n, err)
		}
		c.Close()
	}()
	said, err := io.ReadAll(browser)
	if err != nil || !strings.HasPrefix(string(said), "HTTP/1.1 400 ") || !strings.Contains(string(said), "Open https://") {
		t.Errorf("%q, %v", said, err)
	}
	if err := <-sent; err != nil {
		t.Errorf("not all of it was read: %v", err)
	}
	browser, server = net.Pipe()
	const hello = "\x16\x03\x01GET / HTTP/1.1"
	go io.WriteString(browser, hello)
	b := make([]byte, 600)
	if n, err := (&firstByte{Conn: server}).Read(b); string(b[:n]) != hello || err != nil {
		t.Errorf("%q, %v", b[:n], err)
	}
}
