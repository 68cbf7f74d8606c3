"""The settings that concern HTTPS, checked: what cannot work is said before anything is served."""

import ipaddress
import re
from collections.abc import Mapping
from typing import Literal, get_args

from api.https.local import is_local_name, is_loopback, is_private
from api.settings_file import Value
from api.start_errors import BadSettings

Https = Literal["own", "files", "off"]
_LABEL = re.compile(r"(?!-)[a-z0-9-]{1,63}(?<!-)")


def mode(values: Mapping[str, Value]) -> Https:
    """The one asked for; else files if they are given, nothing on this machine alone or behind a
    proxy, and Nubbin's own authority where other machines are to reach it.
    """
    given = values.get("https")
    if given is None:
        if values.get("cert") or values.get("key"):
            return "files"
        alone = is_loopback(str(values.get("host", "127.0.0.1")))
        return "off" if alone or values.get("behind_proxy") else "own"
    for known in get_args(Https):
        if given == known:
            return known  # type: ignore[no-any-return]
    raise BadSettings(
        f"https is '{given}'. Write own for Nubbin's own certificates, files for certificate files "
        "of yours (with cert and key), or off."
    )


def stable_name(value: Value) -> str:
    """A host name or an address in its usual form; empty where none was given."""
    name = str(value).strip().lower().rstrip(".")
    if not name:
        return ""
    try:
        return str(ipaddress.ip_address(name.strip("[]")))
    except ValueError:
        pass
    labels = name.split(".")
    numeric = labels[-1].isdigit()
    if numeric or len(name) > 253 or not all(_LABEL.fullmatch(label) for label in labels):
        raise BadSettings(
            f"The name is '{value}'. Give a plain host name without https:// and without a port, "
            "such as nubbin.local, or an address that this machine keeps for good."
        )
    return name


def proxies(value: Value) -> tuple[str, ...]:
    """Addresses and networks in their usual form."""
    given = value if isinstance(value, list) else [str(value)]
    return tuple(_proxy(one) for one in given)


def check_own_name(name: str, constrained: bool) -> None:
    """Raises BadSettings where an authority bound to local names could not vouch for this one."""
    if not name or not constrained or is_local_name(name) or is_private(name):
        return
    raise BadSettings(
        f"The name '{name}' is no local one, and Nubbin's own authority vouches only for local "
        "names and private addresses. Choose a name that ends in .local, .lan, .home.arpa or "
        ".internal, or give a certificate for it: https = 'files', cert and key."
    )


def _proxy(text: str) -> str:
    try:
        network = ipaddress.ip_network(text)
    except ValueError as error:
        raise BadSettings(
            f"behind_proxy holds '{text}', which is no address or network. Give the proxy's own "
            "address, such as 127.0.0.1 or 192.168.1.2."
        ) from error
    if network.prefixlen == 0:
        raise BadSettings(
            f"behind_proxy holds '{text}', which is everyone. What a proxy says is believed, so "
            "list only the proxy's own address."
        )
    return str(network.network_address) if network.num_addresses == 1 else str(network)
