"""Where the app is reached, as a lead is told: addresses, certificate, and what to heed."""

import ipaddress
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from api.https import history, names
from api.https.leaf import issue
from api.https.names import Place
from api.https.pem import write_pair
from api.https.reach import Reach, url
from api.https.renew import FileCertificates, OwnCertificates
from api.https.site import app_address
from api.settings import Settings
from tests.https.made import NOW, Clock, authority, place, reach


def unnamed(data: Path, **settings: Any) -> Reach:
    """One that listens on a single private address and was given no name."""
    return reach(data, **{"host": "192.168.1.5", "name": ""} | settings)


def files(data: Path, clock: Clock, *names: str) -> Reach:
    """One with certificate files for some names."""
    write_pair(data / "both.pem", issue(authority(constrained=False), names, clock()))
    settings = Settings(data, host="0.0.0.0", https="files", name="farm.example")
    held = FileCertificates(data / "both.pem", data / "both.pem", clock)
    return Reach(settings, lambda: place("farm.example"), 80, 443, held, clock)


def test_with_a_name_all_is_well(tmp_path: Path):
    here = reach(tmp_path)
    seen = here.view("e1")
    assert (seen.epoch, seen.warnings) == ("e1", [])
    assert (seen.addresses[0].url, seen.addresses[0].stable) == ("https://nubbin.local:8443", True)
    assert seen.onboarding == "http://nubbin.local:8000"
    assert seen.certificate is not None
    assert seen.certificate.since == (NOW - timedelta(days=1)).timestamp() * 1000
    assert seen.certificate.until == (NOW + timedelta(days=396)).timestamp() * 1000
    assert seen.certificate.names[:2] == ["nubbin.local", "farmbox"]


def test_an_address_from_a_router_is_not_relied_on(tmp_path: Path):
    here = unnamed(tmp_path)
    assert [(one.url, one.stable) for one in here.addresses()] == [
        ("https://192.168.1.5:8443", False)
    ]
    [warning] = here.warnings()
    assert "192.168.1.5 may be another one after a restart" in warning
    assert "set it: name = 'nubbin.local'" in warning


def test_the_machines_own_name_is_proposed_where_it_is_announced(tmp_path: Path):
    here = unnamed(tmp_path)
    here.place = lambda: place("", "farmbox.local")
    assert "name = 'farmbox.local'" in here.warnings()[0]


def test_an_announced_name_is_one_more_address(tmp_path: Path):
    here = reach(tmp_path)
    here.place = lambda: place("nubbin.local", "farmbox.local")
    assert [(one.url, one.stable) for one in here.addresses()][:2] == [
        ("https://nubbin.local:8443", True),
        ("https://farmbox.local:8443", True),
    ]


def test_a_fixed_address_that_was_chosen_is_relied_on(tmp_path: Path):
    here = unnamed(tmp_path, name="192.168.1.5")
    assert (here.warnings(), here.is_stable()) == ([], True)


def test_a_changed_address_is_spoken_of_for_60_days(tmp_path: Path):
    unnamed(tmp_path).warnings()
    here = reach(tmp_path)
    moved = [w for w in here.warnings() if "before, it was https://192.168.1.5:8443" in w]
    assert len(moved) == 1
    assert "until every phone has sent" in moved[0]
    here.clock = Clock(NOW + timedelta(days=59, hours=23))
    assert "192.168.1.5" in here.warnings()[0]
    here.clock = Clock(NOW + timedelta(days=60, seconds=1))
    assert here.warnings() == []


def test_an_address_that_came_back_leaves_the_other_one_to_speak_of(tmp_path: Path):
    first, second = "https://192.168.1.5:8443", "https://192.168.1.6:8443"
    told = [
        history.remember(tmp_path, url, NOW + timedelta(days=day))
        for day, url in enumerate([first, second, first, first])
    ]
    assert told == [[], [first], [second], [second]]


def test_the_address_in_use_is_noted_anew_every_six_hours(tmp_path: Path):
    """Else one that was in use for months would count as long gone on the day it changes."""
    first, second = "https://192.168.1.5:8443", "https://192.168.1.6:8443"
    written = []
    for hours in (0, 5, 6, 7, 12):
        history.remember(tmp_path, first, NOW + timedelta(hours=hours))
        written.append((tmp_path / history.FILE).read_bytes())
    assert [one == other for one, other in pairwise(written)] == [True, False, True, False]
    assert history.remember(tmp_path, second, NOW + timedelta(days=60)) == [first]


def test_a_machine_that_has_no_network_yet_moves_nowhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    here = unnamed(tmp_path, host="0.0.0.0")
    for outward in (None, ipaddress.ip_address("192.168.1.5")):
        monkeypatch.setattr(names, "outward_address", lambda outward=outward: outward)
        assert here.remember() == []
    assert b"127.0.0.1" not in (tmp_path / history.FILE).read_bytes()


def test_a_history_that_cannot_be_read_begins_anew(tmp_path: Path):
    (tmp_path / history.FILE).write_text("no json")
    assert history.remember(tmp_path, "https://a.lan", NOW) == []
    assert history.remember(tmp_path, "https://b.lan", NOW) == ["https://a.lan"]


def test_free_ports_are_for_trials_and_are_not_remembered(tmp_path: Path):
    reach(tmp_path, port=0).warnings()
    reach(tmp_path, https_port=0).warnings()
    assert not (tmp_path / history.FILE).exists()


def test_an_authority_near_its_end_is_said_a_year_before(tmp_path: Path):
    here = reach(tmp_path)
    clock = Clock(NOW + timedelta(days=3652 - 366))
    for word in ("", "authority ends on 2036-02-29"):
        here.clock = clock
        here.certificates = OwnCertificates(tmp_path, lambda: place("nubbin.local"), True, clock)
        assert [word in warning for warning in here.warnings()] == [True] * bool(word)
        clock.on(days=1)


def test_certificate_files_near_their_end_are_said_30_days_before(tmp_path: Path):
    clock = Clock()
    here = files(tmp_path, clock, "farm.example")
    assert here.app == "https://farm.example"
    assert (here.warnings(), here.onboarding) == ([], None)
    clock.on(days=396 - 30, seconds=1)
    assert [w[:37] for w in here.warnings()] == ["The certificate ends on 2027-04-01. P"]


def test_own_certificates_that_were_not_renewed_are_said(tmp_path: Path):
    here = reach(tmp_path)
    here.clock = Clock(NOW + timedelta(days=396 - 30))
    assert "was not renewed. Start the server again" in here.warnings()[0]


def test_certificate_files_for_another_name(tmp_path: Path):
    here = files(tmp_path, Clock(), "other.example", "*.farms.example")
    [warning] = here.warnings()
    assert "The certificate is not for farm.example" in warning
    assert "other.example, *.farms.example" in warning


@pytest.mark.parametrize(("name", "fits"), [("*.example", True), ("*.farm.example", False)])
def test_a_star_stands_for_one_part(tmp_path: Path, name: str, fits: bool):
    assert (files(tmp_path, Clock(), name).warnings() == []) is fits


def test_a_failed_renewal_comes_first(tmp_path: Path):
    here = unnamed(tmp_path)
    assert here.certificates is not None
    here.certificates.trouble = "The disk is full."
    assert here.warnings()[0] == "The certificate could not be renewed. The disk is full."


def test_an_address_that_the_authority_may_not_vouch_for(tmp_path: Path):
    here = unnamed(tmp_path, host="203.0.113.5")
    public = Place("", ("localhost",), (ipaddress.ip_address("203.0.113.5"),), None)
    here.place = lambda: public
    here.certificates = OwnCertificates(tmp_path, lambda: public, True, Clock())
    assert "may not vouch for 203.0.113.5" in here.warnings()[0]


def test_constraints_that_were_asked_for_too_late(tmp_path: Path):
    reach(tmp_path, constrained=False)
    here = reach(tmp_path)
    assert "is not bound to local names" in here.warnings()[0]
    assert reach(tmp_path, name_constraints=False).warnings() == []


def test_a_key_that_others_could_read(tmp_path: Path):
    reach(tmp_path)
    (tmp_path / "https" / "authority.pem").chmod(0o640)
    assert "Other users of this machine could read" in reach(tmp_path).warnings()[0]


def test_plain_http_says_what_is_missing(tmp_path: Path):
    here = reach(tmp_path, https="off")
    assert (here.app, here.onboarding) == ("http://nubbin.local:8000", None)
    assert "HTTPS is off" in here.warnings()[0]
    alone = reach(tmp_path, https="off", host="127.0.0.1", name="", port=0)
    assert (alone.warnings(), alone.view("e").certificate) == ([], None)


def test_behind_a_proxy(tmp_path: Path):
    settings = {"https": "off", "behind_proxy": ("192.168.1.2",)}
    named = reach(tmp_path, name="farm.example", **settings)
    assert [(one.url, one.stable) for one in named.addresses()] == [("https://farm.example", True)]
    assert named.warnings() == []
    without = unnamed(tmp_path / "other", **settings)
    assert "only its own address" in without.warnings()[0]


@pytest.mark.parametrize(
    ("scheme", "name", "port", "expected"),
    [
        ("https", "nubbin.local", 8443, "https://nubbin.local:8443"),
        ("https", "nubbin.local", 443, "https://nubbin.local"),
        ("http", "fd00::9", 80, "http://[fd00::9]"),
        ("http", "192.168.1.5", 443, "http://192.168.1.5:443"),
    ],
)
def test_web_addresses(scheme: str, name: str, port: int, expected: str):
    assert url(scheme, name, port) == expected


def test_before_the_server_runs_the_address_is_known(tmp_path: Path):
    own = Settings(tmp_path, host="0.0.0.0", https="own", name="nubbin.local")
    assert app_address(own) == "https://nubbin.local:8443"
    assert app_address(Settings(tmp_path, port=8100)) == "http://127.0.0.1:8100"
    assert list(tmp_path.iterdir()) == []
