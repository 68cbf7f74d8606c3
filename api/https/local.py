"""Which names and addresses mean something only inside a building.

.local is for multicast DNS (RFC 6762), home.arpa for home networks (RFC 8375), .internal is kept
by ICANN for private use (resolution of 29 July 2024); .lan is common practice in routers.
"""

import ipaddress

IPAddress = ipaddress.IPv4Address | ipaddress.IPv6Address
IPNetwork = ipaddress.IPv4Network | ipaddress.IPv6Network

SUFFIXES = ("local", "lan", "home.arpa", "internal")
NETWORKS: tuple[IPNetwork, ...] = tuple(
    ipaddress.ip_network(text)
    for text in (
        "10.0.0.0/8",  # RFC 1918
        "172.16.0.0/12",
        "192.168.0.0/16",
        "127.0.0.0/8",
        "fc00::/7",  # RFC 4193
        "fe80::/10",  # RFC 4291
        "::1/128",
    )
)


def address(text: str) -> IPAddress | None:
    """The address that a text is; None for a name."""
    try:
        return ipaddress.ip_address(text)
    except ValueError:
        return None


def is_private(text: str | IPAddress) -> bool:
    """Whether it is an address that only the building, or the machine, can reach."""
    found = address(str(text))
    return found is not None and any(found in network for network in NETWORKS)


def is_local_name(name: str) -> bool:
    """Whether it is a name that no public registry can give to somebody else."""
    if address(name) is not None or not name:
        return False
    return "." not in name or any(name == s or name.endswith(f".{s}") for s in SUFFIXES)


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach what listens there."""
    found = address(host)
    return found.is_loopback if found is not None else host.lower() == "localhost"
