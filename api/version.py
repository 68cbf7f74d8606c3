"""Which Nubbin this is, as the installed package says."""

from importlib.metadata import PackageNotFoundError, version


def _installed() -> str:
    try:
        return version("nubbin")
    except PackageNotFoundError:
        return "uninstalled"


VERSION = _installed()
