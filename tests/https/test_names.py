"""What this machine is called, found without asking the network."""

import ipaddress
import socket
from collections.abc import Iterable

import pytest

from api.https.local import IPAddress, is_local_name, is_loopback, is_private
from api.https.names import Place, interface_addresses, reached_by, this_machine


def addresses(*texts: str) -> list[IPAddress]:
    return [ipaddress.ip_address(text) for text in texts]


def machine(
    chosen: str, host: str, hostname: str, found: Iterable[IPAddress], announces: bool = False
) -> Place:
    return this_machine(
        chosen, host, hostname=lambda: hostname, interfaces=lambda: found,
        announces=lambda: announces,
    )  # fmt: skip


def test_a_machine_of_one_word_on_every_address():
    found = addresses("192.168.1.5", "127.0.0.1", "fe80::1", "fd00::9", "169.254.3.4", "10.8.0.2")
    place = machine("nubbin.local", "0.0.0.0", "FarmBox", found, announces=True)
    assert place == Place(
        "nubbin.local",
        ("nubbin.local", "farmbox", "farmbox.local", "localhost"),
        tuple(addresses("192.168.1.5", "10.8.0.2", "127.0.0.1", "::1")),
        "farmbox.local",
    )


def test_a_public_host_name_is_nothing_to_vouch_for_unless_it_was_chosen():
    found = addresses("203.0.113.7")
    place = machine("", "0.0.0.0", "box7.example.com", found)
    assert (place.names, place.announced) == (("localhost",), None)
    chosen = machine("box7.example.com", "0.0.0.0", "box7.example.com", found)
    assert chosen.names == ("box7.example.com", "localhost")
    assert chosen.addresses == tuple(addresses("203.0.113.7", "127.0.0.1", "::1"))


def test_an_address_that_was_chosen_or_is_listened_on_comes_first():
    place = machine("192.168.7.7", "fd00::9", "farmbox.local", addresses("192.168.1.5"))
    assert place.names == ("farmbox.local", "localhost")
    expected = addresses("192.168.7.7", "fd00::9", "192.168.1.5", "127.0.0.1", "::1")
    assert place.addresses == tuple(expected)
    assert place.announced is None, "nothing here answers to the name"


@pytest.mark.parametrize(
    ("chosen", "host", "expected"),
    [
        ("nubbin.local", "0.0.0.0", "nubbin.local"),
        ("", "192.168.1.5", "192.168.1.5"),
        ("192.168.7.7", "0.0.0.0", "192.168.7.7"),
    ],
)
def test_by_what_phones_are_to_reach_it(chosen: str, host: str, expected: str):
    assert reached_by(machine(chosen, host, "farmbox", []), host) == expected


def test_nobody_is_asked_over_the_network(monkeypatch: pytest.MonkeyPatch):
    """Name look-ups and anything sent would fail here; a datagram socket only picks a route."""

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("something was asked of the network")

    for name in ("getaddrinfo", "gethostbyname", "gethostbyname_ex", "gethostbyaddr", "getfqdn"):
        monkeypatch.setattr(socket, name, refuse)
    for name in ("send", "sendto", "sendall"):
        monkeypatch.setattr(socket.socket, name, refuse, raising=False)
    place = this_machine("", "0.0.0.0")
    assert ipaddress.ip_address("127.0.0.1") in place.addresses
    assert place.names[-1] == "localhost"
    assert ipaddress.ip_address("127.0.0.1") in interface_addresses()
    assert reached_by(place, "0.0.0.0")


@pytest.mark.parametrize(
    ("name", "local"),
    [("farmbox", True), ("a.local", True), ("a.lan", True), ("a.home.arpa", True),
     ("a.internal", True), ("home.arpa", True), ("a.arpa", False), ("a.example", False),
     ("alan.com", False), ("192.168.1.5", False), ("", False)],
)  # fmt: skip
def test_which_names_are_local(name: str, local: bool):
    assert is_local_name(name) is local


@pytest.mark.parametrize(
    ("text", "private", "loopback"),
    [("192.168.1.5", True, False), ("172.16.0.1", True, False), ("172.15.0.1", False, False),
     ("127.0.0.7", True, True), ("::1", True, True), ("fe80::1", True, False),
     ("fdff::1", True, False), ("2001:db8::1", False, False), ("localhost", False, True),
     ("LocalHost", False, True), ("farmbox", False, False), ("0.0.0.0", False, False)],
)  # fmt: skip
def test_which_addresses_are_private_or_this_machine_alone(
    text: str, private: bool, loopback: bool
):
    assert (is_private(text), is_loopback(text)) == (private, loopback)
