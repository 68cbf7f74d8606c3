"""The farm's server of the server's own tests."""

from tests.server.conftest import farm, signed_in

__all__ = ["farm", "signed_in"]
