package main

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"net"
	"net/http"
)

// httpsOnly answers who comes to a port of TLS with plain HTTP, as a browser
// does when the s of https was not typed: a sentence with the address that
// works. What is plain HTTP is seen by its first byte, which in TLS is 22 (RFC
// 8446, 5.1) and in HTTP the capital letter of a method (RFC 9110, 9.1).
type httpsOnly struct {
	net.Listener
	install func() []string // where the certificate is
}

func (l httpsOnly) Accept() (net.Conn, error) {
	c, err := l.Listener.Accept()
	if err != nil {
		return nil, err
	}
	return &firstByte{Conn: c, install: l.install}, nil
}

// firstByte is a connection that looks at its first byte when that is read.
type firstByte struct {
	net.Conn
	install func() []string
	looked  bool
}

func (c *firstByte) Read(b []byte) (int, error) {
	n, err := c.Conn.Read(b)
	if c.looked || n == 0 {
		return n, err
	}
	c.looked = true
	if b[0] < 'A' || b[0] > 'Z' {
		return n, err
	}
	// A browser only reads the answer when what it sent was read.
	head := io.MultiReader(bytes.NewReader(bytes.Clone(b[:n])), c.Conn)
	http.ReadRequest(bufio.NewReader(io.LimitReader(head, mostHead))) // whatever it is
	c.answer()
	return 0, io.EOF
}

// mostHead is the longest request without its body that is read [bytes].
const mostHead = 64 << 10

func (c *firstByte) answer() {
	text := fmt.Sprintf("This workshop is served over HTTPS. Open https://%s instead.\n", c.LocalAddr())
	if at := c.install(); len(at) > 0 {
		text += fmt.Sprintf("A device that has not installed the certificate yet finds it at http://%s/install\n", at[0])
	}
	fmt.Fprintf(c.Conn, "HTTP/1.1 400 Bad Request\r\nContent-Type: text/plain; charset=utf-8\r\nContent-Length: %d\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n%s", len(text), text)
}
