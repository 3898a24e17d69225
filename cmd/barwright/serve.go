package main

import (
	"bytes"
	gocontext "context"
	"crypto/tls"
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
	Addr        string   `default:"127.0.0.1:8420" help:"Address to listen on. 0.0.0.0:8420 also lets in devices of the local network, once they are paired."`
	Host        []string `placeholder:"NAME" help:"Another name by which devices find this machine, such as kitchen.local."`
	TLS         bool     `name:"tls" help:"Serve HTTPS with a certificate authority of this workshop's own."`
	InstallPort int      `default:"8421" placeholder:"PORT" help:"With --tls: the port where devices get its certificate."`
	Data        string   `placeholder:"DIR" help:"Data folder, or the address of a PostgreSQL database (postgres://…)."`
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
	e := entrance{addr: c.Addr, hosts: c.Host, log: log.New(ctx.stderr, "barwright: ", 0)}
	if c.TLS {
		e.installPort = c.InstallPort
		if e.authority, err = openAuthority(c.Data, time.Now(), e.log); err != nil {
			return err
		}
	}
	side := &sideDemo{log: e.log}
	defer side.end()
	return serve(bg, ctx, s, e, web.Options{Log: e.log, SideDemo: side.open})
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

// serve listens and answers until bg is done, and lets what it has begun end.
func serve(bg gocontext.Context, ctx context, s *store.Store, e entrance, o web.Options) error {
	listeners, err := e.listen()
	if err != nil {
		return err
	}
	defer listeners.close()
	if o.Door, err = e.door(listeners); err != nil {
		return err
	}
	app, err := web.New(s, o)
	if err != nil {
		return err
	}
	e.greet(ctx.stdout, app, o.Door, listeners)
	ended := make(chan error, len(listeners.app)+1)
	var servers []*http.Server
	start := func(l net.Listener, h http.Handler, secure *tls.Config) {
		server := newServer(h, e.log)
		server.TLSConfig = secure
		servers = append(servers, server)
		go func() {
			if secure != nil {
				ended <- server.ServeTLS(httpsOnly{l, o.Door.Install}, "", "")
			} else {
				ended <- server.Serve(l)
			}
		}()
	}
	for _, l := range listeners.app {
		start(l, app.Handler(), e.tlsConfig)
	}
	if listeners.install != nil {
		start(listeners.install, app.InstallHandler(), nil)
	}
	select {
	case err = <-ended:
	case <-bg.Done():
	}
	down, cancel := gocontext.WithTimeout(gocontext.Background(), 5*time.Second)
	defer cancel()
	for _, server := range servers {
		server.Shutdown(down)
	}
	return err
}

// newServer is a server that nobody can keep waiting.
func newServer(h http.Handler, faults *log.Logger) *http.Server {
	return &http.Server{Handler: h, ErrorLog: log.New(ownFaults{faults}, "", 0), MaxHeaderBytes: 64 << 10,
		ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, WriteTimeout: time.Minute, IdleTimeout: 2 * time.Minute}
}

// ownFaults passes on what the server says of itself, and not that a browser
// hung up or has not installed the certificate yet.
type ownFaults struct{ log *log.Logger }

func (f ownFaults) Write(line []byte) (int, error) {
	if !bytes.HasPrefix(line, []byte("http: TLS handshake error")) && !bytes.HasPrefix(line, []byte("http2: server: error reading preface")) {
		f.log.Print(string(line))
	}
	return len(line), nil
}
