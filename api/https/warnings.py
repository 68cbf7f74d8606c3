"""What a farm should heed about its addresses and certificates: a sentence each, or None."""

from datetime import datetime, timedelta
from urllib.parse import urlsplit

from api.https.authority import FOLDER
from api.https.local import is_loopback
from api.https.names import Place
from api.https.pem import names_in
from api.https.renew import Certificates, OwnCertificates
from api.settings import Settings

LATE = timedelta(days=30)
AUTHORITY_ASKED_FOR = timedelta(days=365)


def trouble(certificates: Certificates | None) -> str | None:
    """The last renewal failed."""
    if certificates is None or not certificates.trouble:
        return None
    return f"The certificate could not be renewed. {certificates.trouble}"


def moved(now: str, before: list[str]) -> str | None:
    """Phones keep what they hold by the address it was recorded under."""
    if not before:
        return None
    return (
        f"The app's address is {now}; before, it was {' and '.join(before)}. A phone that has not "
        "sent everything keeps it under the old address. Let this machine answer there again "
        "until every phone has sent, and open the new address only then."
    )


def unsteady(app: str, stable: bool, place: Place) -> str | None:
    """An address handed out by a router may be another one tomorrow."""
    if stable:
        return None
    host = urlsplit(app).hostname
    example = place.announced or "nubbin.local"
    return (
        f"The address {host} may be another one after a restart of the router or this machine, "
        "and phones would keep unsent records under the old one. Give this machine one name that "
        f"the network knows and set it: name = '{example}'. Or tell the router to keep the "
        f"address for this machine, and set name = '{host}'."
    )


def certificate_end(certificates: Certificates | None, now: datetime) -> str | None:
    """Files are renewed by whoever made them; Nubbin's own long before, if all is well."""
    if certificates is None or now < certificates.pair.until - LATE:
        return None
    ends = f"The certificate ends on {certificates.pair.until:%Y-%m-%d}"
    if isinstance(certificates, OwnCertificates):
        return f"{ends} and was not renewed. Start the server again and read what it says."
    return (
        f"{ends}. Put a new one and its key in the same files; the server takes them without a "
        "restart."
    )


def authority_end(own: OwnCertificates | None, now: datetime) -> str | None:
    """Ten years are over one day, and each phone must then be visited."""
    if own is None or now < own.authority.pair.until - AUTHORITY_ASKED_FOR:
        return None
    return (
        f"The farm's own authority ends on {own.authority.pair.until:%Y-%m-%d}. Choose a quiet day "
        f"before then: let every phone send, move the folder '{FOLDER}' out of the data folder, "
        "start again, and let every phone trust the new authority."
    )


def not_in_certificate(app: str, certificates: Certificates | None) -> str | None:
    """A phone would call the address unsafe."""
    host = urlsplit(app).hostname or ""
    if certificates is None or _matches(host, names_in(certificates.pair.certificate)):
        return None
    if isinstance(certificates, OwnCertificates):
        return (
            f"The farm's own authority may not vouch for {host}, so phones call it unsafe. Set a "
            "name that ends in .local, .lan, .home.arpa or .internal and that the network knows."
        )
    return (
        f"The certificate is not for {host}, so phones call it unsafe. Set name to one of the "
        f"names it is for: {', '.join(names_in(certificates.pair.certificate)) or 'there is none'}."
    )


def proxy_without_name(app: str, proxied: bool, name: str) -> str | None:
    """Only a person knows what the proxy is called."""
    if not proxied or name:
        return None
    return (
        f"The server stands behind a proxy, and {app} is only its own address. Set name to the "
        "name that phones open, so that links and codes lead there."
    )


def plain(app: str, settings: Settings) -> str | None:
    """Neither the camera nor work without a network."""
    if settings.https != "off" or settings.behind_proxy or is_loopback(settings.host):
        return None
    return (
        f"HTTPS is off, and browsers on other machines give a page at {app} neither the camera "
        "nor storage for work without a network. Set https = 'own', or list the proxy that adds "
        "HTTPS in behind_proxy."
    )


def opened(own: OwnCertificates | None) -> str | None:
    """A key that others could read may have been copied."""
    if own is None or not own.authority.opened:
        return None
    return (
        "Other users of this machine could read the authority's private key; this was ended now. "
        f"If you do not trust them all, move the folder '{FOLDER}' away, start again, and let "
        "every phone trust the new authority."
    )


def constraints(own: OwnCertificates | None, wanted: bool) -> str | None:
    """An authority is what it was made as."""
    if own is None or (own.authority.constraints is not None) == wanted:
        return None
    is_now = "bound to local names" if not wanted else "not bound to local names"
    return (
        f"name_constraints is {str(wanted).lower()}, but the farm's authority was made before and "
        f"is {is_now}. To change it, move the folder '{FOLDER}' away, start again, and let every "
        "phone trust the new authority."
    )


def _matches(host: str, names: tuple[str, ...]) -> bool:
    """As browsers do: a star stands for one whole first part (RFC 9525, 6.3)."""
    _, _, rest = host.partition(".")
    return host in names or bool(rest and f"*.{rest}" in names)
