package authority

import (
	"net"
	"net/netip"
	"os"
	"slices"
	"strings"
)

// Names are what the machine is called, and where it is.
type Names struct {
	Machine   string   // as its system calls it
	Hosts     []string // by which it may be called besides
	Addresses []netip.Prefix
}

// Of are the names of this machine, and hosts besides; those in figures are addresses.
func Of(hosts []string) Names {
	n := Names{Machine: "this machine"}
	if name, err := os.Hostname(); err == nil && name != "" {
		n.Machine = strings.ToLower(name)
		n.Hosts = append(n.Hosts, n.Machine)
		if !strings.Contains(n.Machine, ".") {
			n.Hosts = append(n.Hosts, n.Machine+".local")
		}
	}
	for _, host := range hosts {
		if ip, err := netip.ParseAddr(host); err == nil {
			n.Addresses = append(n.Addresses, netip.PrefixFrom(ip.Unmap(), ip.Unmap().BitLen()))
			continue
		}
		n.Hosts = append(n.Hosts, strings.ToLower(strings.TrimSuffix(host, ".")))
	}
	n.Addresses = append(n.Addresses, here()...)
	return n
}

// here are the addresses at which others may find this machine, with their networks.
func here() (all []netip.Prefix) {
	known, err := net.InterfaceAddrs()
	if err != nil {
		return nil // it has its names still
	}
	for _, a := range known {
		network, ok := a.(*net.IPNet)
		if !ok || network.IP.IsLinkLocalUnicast() {
			continue
		}
		ip, _ := netip.AddrFromSlice(network.IP)
		ones, _ := network.Mask.Size()
		all = append(all, netip.PrefixFrom(ip.Unmap(), ones))
	}
	return all
}

// widest networks of a machine for which its authority vouches as a whole, so that another
// address in the same network costs no tablet a visit. Ours, no source.
const (
	widest4 = 16
	widest6 = 64
)

// networks are those in which the machine has an address; of one that is wider than a
// shop's is, the address alone. The machine itself is always among them.
func (n *Names) networks() (all []*net.IPNet) {
	list := append([]netip.Prefix{netip.MustParsePrefix("127.0.0.0/8"), netip.MustParsePrefix("::1/128")}, n.Addresses...)
	for k, p := range list {
		ip := p.Addr()
		if widest := map[bool]int{true: widest4, false: widest6}[ip.Is4()]; k > 1 && p.Bits() < widest {
			p = netip.PrefixFrom(ip, ip.BitLen())
		}
		p = p.Masked()
		one := &net.IPNet{IP: p.Addr().AsSlice(), Mask: net.CIDRMask(p.Bits(), ip.BitLen())}
		if !slices.ContainsFunc(all, func(o *net.IPNet) bool { return o.String() == one.String() }) {
			all = append(all, one)
		}
	}
	return all
}

// domains are the names for which the authority vouches. All of .local is: a system
// chooses another name there by itself where two machines have the same.
func (n *Names) domains() []string {
	all := append([]string{"local", "localhost"}, n.Hosts...)
	slices.Sort(all)
	return slices.Compact(all)
}
