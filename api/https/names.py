"""Which names and addresses this machine has. Nothing is sent: only the system is asked.

An address that a router hands out may be another one tomorrow, so only what a person chose as
`name` counts as stable, or the machine's own name where it announces that itself.
"""

import ipaddress
import socket
import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import ifaddr

from api.https.local import IPAddress, address, is_local_name

EVERYWHERE = frozenset({"0.0.0.0", "::", ""})
_ANNOUNCER = Path("/run/avahi-daemon/socket")
"""Where the usual multicast DNS service of Linux listens while it runs."""


@dataclass(frozen=True)
class Place:
    """A machine as others may call it: `chosen` is the setting `name`, empty if there is none.

    names      host names, the chosen one first
    addresses  those asked for, then IPv4 ones. The IPv6 addresses of a network come and go by
               design (RFC 8981), so they are no way to reach a server
    announced  the machine's own .local name, if a service on it answers to that name
    """

    chosen: str
    names: tuple[str, ...]
    addresses: tuple[IPAddress, ...]
    announced: str | None

    def all(self) -> tuple[str, ...]:
        """Every name and address as text."""
        return (*self.names, *map(str, self.addresses))


def this_machine(
    chosen: str,
    host: str,
    *,
    hostname: Callable[[], str] = socket.gethostname,
    interfaces: Callable[[], Iterable[IPAddress]] | None = None,
    announces: Callable[[], bool] | None = None,
) -> Place:
    """What this machine is called now. `host` is where the server listens."""
    own = hostname().lower().rstrip(".")
    found = tuple((interfaces or interface_addresses)())
    announced = f"{own.removesuffix('.local')}.local" if "." not in own or _dot_local(own) else None
    names = [chosen, own, announced or "", host.lower(), "localhost"]
    addresses = [
        address(chosen),
        None if host in EVERYWHERE else address(host),
        *(one for one in found if one.version == 4 and not (one.is_loopback or one.is_link_local)),
        ipaddress.ip_address("127.0.0.1"),
        ipaddress.ip_address("::1"),
    ]
    return Place(
        chosen,
        tuple(dict.fromkeys(name for name in names if _is_name(name, chosen))),
        tuple(dict.fromkeys(one for one in addresses if one is not None)),
        announced if announced and (announces or announces_itself)() else None,
    )


def interface_addresses() -> list[IPAddress]:
    """The addresses of the network interfaces, the one with the route outwards first."""
    found = [
        ipaddress.ip_address(ip.ip if isinstance(ip.ip, str) else ip.ip[0])
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
    ]
    first = outward_address()
    return sorted(found, key=lambda one: (one != first, one.version, int(one)))


def outward_address() -> IPAddress | None:
    """The address by which others reach this machine. No packet is sent: connecting a datagram
    socket only chooses a route. 192.0.2.1 stands for anywhere (RFC 5737).
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return None
        return ipaddress.ip_address(str(probe.getsockname()[0]))


def announces_itself() -> bool:
    """Whether a service of the system answers to NAME.local (RFC 6762)."""
    return sys.platform in ("darwin", "win32") or _ANNOUNCER.exists()


def reached_by(place: Place, host: str) -> str:
    """The one name or address that phones are to use."""
    if place.chosen:
        return place.chosen
    if host not in EVERYWHERE:
        return host
    outward = outward_address()
    return str(outward) if outward else "127.0.0.1"


def _dot_local(name: str) -> bool:
    return name.endswith(".local") and name.count(".") == 1


def _is_name(name: str, chosen: str) -> bool:
    if name in EVERYWHERE or address(name) is not None:
        return False
    return name == chosen or is_local_name(name)
