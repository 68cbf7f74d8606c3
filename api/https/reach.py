"""How phones reach this server: its addresses, the first page, the certificate, what to heed."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from urllib.parse import urlsplit

from msgspec import Struct, field

from api.https import history, warnings
from api.https.local import address, is_loopback
from api.https.names import EVERYWHERE, Place, outward_address, reached_by, this_machine
from api.https.pem import names_in, now_utc
from api.https.renew import Certificates, OwnCertificates
from api.settings import Settings

_USUAL = {"http": 80, "https": 443}


class ReachAddress(Struct, frozen=True):
    """`stable`: whether it can be relied on to stay."""

    url: str
    stable: bool


class CertificateView(Struct, frozen=True):
    """When a certificate holds, UTC milliseconds, and for which names and addresses."""

    since: int = field(name="from")
    until: int
    names: list[str]


class ReachView(Struct, frozen=True):
    """`onboarding` is the page that walks a phone through trusting the farm's own authority."""

    epoch: str
    addresses: list[ReachAddress]
    onboarding: str | None
    certificate: CertificateView | None
    warnings: list[str]


@dataclass
class Reach:
    """What a running server knows of its own addresses. The ports are those really listened on."""

    settings: Settings
    place: Callable[[], Place]
    http_port: int
    https_port: int = 0
    certificates: Certificates | None = None
    clock: Callable[[], datetime] = now_utc

    @property
    def app(self) -> str:
        """The one address of the app that phones are to use."""
        if self.is_proxied and self.settings.name:
            return url("https", self.settings.name, _USUAL["https"])
        return self._app_at(reached_by(self.place(), self.settings.host))

    @property
    def onboarding(self) -> str | None:
        """The first page of a phone, over HTTP; None where there is no authority to trust."""
        if not isinstance(self.certificates, OwnCertificates):
            return None
        return url("http", reached_by(self.place(), self.settings.host), self.http_port)

    @property
    def is_proxied(self) -> bool:
        return self.settings.https == "off" and bool(self.settings.behind_proxy)

    def addresses(self) -> list[ReachAddress]:
        """The one to use first, then others that lead here too."""
        place, host = self.place(), self.settings.host
        found = [ReachAddress(self.app, self.is_stable())]
        if host in EVERYWHERE and not self.is_proxied:
            found += [ReachAddress(self._app_at(name), True) for name in [place.announced] if name]
            outward = outward_address()
            found += [ReachAddress(self._app_at(str(outward)), False)] if outward else []
        return list({one.url: one for one in reversed(found)}.values())[::-1]

    def is_stable(self) -> bool:
        """Whether the app's address was chosen by a person, or leads only to this very machine."""
        host = self.settings.host
        named = host not in EVERYWHERE and address(host) is None
        return bool(self.settings.name) or is_loopback(host) or named

    def remember(self) -> list[str]:
        """Note the app's address; return those it had before."""
        app = self.app
        no_network_yet = is_loopback(urlsplit(app).hostname or "") and not self.is_stable()
        if no_network_yet or 0 in (self.settings.port, self.settings.https_port):
            return []
        return history.remember(self.settings.data, app, self.clock())

    def view(self, epoch: str) -> ReachView:
        """The answer to GET /api/access/reach."""
        return ReachView(
            epoch, self.addresses(), self.onboarding, self._certificate(), self.warnings()
        )

    def warnings(self) -> list[str]:
        """Sentences, the gravest first; empty where all is well."""
        own = self.certificates if isinstance(self.certificates, OwnCertificates) else None
        said = [
            warnings.trouble(self.certificates),
            warnings.moved(self.app, self.remember()),
            warnings.authority_end(own, self.clock()),
            warnings.certificate_end(self.certificates, self.clock()),
            warnings.not_in_certificate(self.app, self.certificates),
            warnings.plain(self.app, self.settings),
            warnings.proxy_without_name(self.app, self.is_proxied, self.settings.name),
            warnings.unsteady(self.app, self.is_stable(), self.place()),
            warnings.opened(own),
            warnings.constraints(own, self.settings.name_constraints),
        ]
        return [sentence for sentence in said if sentence]

    def _app_at(self, name: str) -> str:
        if self.settings.https != "off":
            return url("https", name, self.https_port)
        return url("http", name, self.http_port)

    def _certificate(self) -> CertificateView | None:
        if self.certificates is None:
            return None
        pair = self.certificates.pair
        return CertificateView(
            round(pair.since.timestamp() * 1000),
            round(pair.until.timestamp() * 1000),
            list(names_in(pair.certificate)),
        )


def place_of(settings: Settings) -> Callable[[], Place]:
    """How to ask what this machine is called now."""
    return partial(this_machine, settings.name, settings.host)


def url(scheme: str, name: str, port: int) -> str:
    """A web address without a path; IPv6 in brackets (RFC 3986), a usual port left out."""
    ip = address(name)
    host = f"[{name}]" if ip is not None and ip.version == 6 else name
    return f"{scheme}://{host}" + ("" if port == _USUAL[scheme] else f":{port}")
