package main

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"slices"
	"strconv"
	"strings"
	"syscall"
)

// listen is net.Listen with its errors in words.
func listen(addr string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(addr)
	if _, notPort := strconv.ParseUint(port, 10, 16); err != nil || notPort != nil {
		return nil, &hinted{fmt.Sprintf("%q is not an address with a port", addr), "write it like 127.0.0.1:8420"}
	}
	l, err := net.Listen("tcp", addr)
	var lookup *net.DNSError
	switch {
	case err == nil:
		return l, nil
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, &hinted{fmt.Sprintf("port %s is in use already", port), "is another barwright running? stop it, or name another port with --addr"}
	case errors.Is(err, syscall.EADDRNOTAVAIL):
		return nil, &hinted{host + " is not an address of this computer", "it has " + ownAddresses() + "; 0.0.0.0 is all of them"}
	case errors.Is(err, syscall.EACCES):
		return nil, &hinted{fmt.Sprintf("port %s is kept for the system", port), "name a port above 1023 with --addr"}
	case errors.As(err, &lookup):
		return nil, &hinted{"no computer is called " + host, "give an address of this computer: " + ownAddresses()}
	}
	return nil, &hinted{fmt.Sprintf("cannot listen on %s: %v", addr, err), "name another address with --addr"}
}

func ownAddresses() string {
	words := []string{"127.0.0.1"}
	for _, ip := range addressesAt(netip.IPv4Unspecified()) {
		words = append(words, ip.String())
	}
	return strings.Join(words, ", ")
}

// addressesAt lists the addresses by which other devices reach something that
// listens at ip: ip itself, or when that is all of them, those of this computer
// now, the one that leads to other networks first.
func addressesAt(ip netip.Addr) (out []netip.Addr) {
	if !ip.IsUnspecified() {
		return []netip.Addr{ip}
	}
	all, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, a := range all {
		p, err := netip.ParsePrefix(a.String())
		if err != nil {
			continue
		}
		if own := p.Addr().Unmap(); own.IsGlobalUnicast() && (own.Is4() || ip.Is6()) {
			out = append(out, own)
		}
	}
	first := towardOthers()
	slices.SortStableFunc(out, func(a, b netip.Addr) int { return rank(a, first) - rank(b, first) })
	return out
}

// rank puts the address that leads on first and those hard to type last.
func rank(a, first netip.Addr) int {
	switch {
	case a == first:
		return 0
	case a.Is4():
		return 1
	}
	return 2
}

// towardOthers is the address this computer would send from to the internet,
// which is seldom that of a bridge inside it. Nothing is sent to find out: UDP
// only looks up the way. 192.0.2.1 is an example and belongs to nobody (RFC
// 5737).
func towardOthers() netip.Addr {
	c, err := net.Dial("udp4", "192.0.2.1:9")
	if err != nil {
		return netip.Addr{}
	}
	defer c.Close()
	return netip.MustParseAddrPort(c.LocalAddr().String()).Addr()
}
