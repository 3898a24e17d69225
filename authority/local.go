package authority

import (
	"net"
	"net/netip"
	"strings"
)

// localDomains are the domains that never lead out of a house: localhost (RFC
// 6761), local (RFC 6762), home.arpa (RFC 8375), internal (reserved by ICANN in
// 2024), and lan, which many routers use and nobody has been given.
var localDomains = []string{"localhost", "local", "home.arpa", "internal", "lan"}

// localRanges are the addresses of networks of one's own: RFC 1918, 3927,
// 4193, 4291, and the machine itself.
var localRanges = []netip.Prefix{
	netip.MustParsePrefix("127.0.0.0/8"), netip.MustParsePrefix("10.0.0.0/8"), netip.MustParsePrefix("172.16.0.0/12"),
	netip.MustParsePrefix("192.168.0.0/16"), netip.MustParsePrefix("169.254.0.0/16"),
	netip.MustParsePrefix("::1/128"), netip.MustParsePrefix("fc00::/7"), netip.MustParsePrefix("fe80::/10"),
}

// Local reports a host, an address or a name, that an authority may speak for.
func Local(host string) bool {
	if ip, err := netip.ParseAddr(host); err == nil {
		ip = ip.Unmap()
		for _, r := range localRanges {
			if r.Contains(ip) { // never with a zone
				return true
			}
		}
		return false
	}
	host = strings.ToLower(host)
	for _, d := range localDomains {
		if rest, ok := strings.CutSuffix(host, "."+d); host == d || ok && isName(rest) {
			return true
		}
	}
	return false
}

// isName reports labels of letters, digits and hyphens, parted by dots.
func isName(s string) bool {
	for label := range strings.SplitSeq(s, ".") {
		if label == "" || len(label) > 63 || strings.Trim(label, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
			return false
		}
	}
	return len(s) < 200
}

func localNets() (nets []*net.IPNet) {
	for _, r := range localRanges {
		nets = append(nets, &net.IPNet{IP: r.Addr().AsSlice(), Mask: net.CIDRMask(r.Bits(), r.Addr().BitLen())})
	}
	return nets
}
