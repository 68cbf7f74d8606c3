"""Who tried what they may not stands in the server's log, without any secret."""

import logging

import pytest

from tests.access.conftest import Browser
from tests.access.test_staff import add, pair


def test_a_refusal_is_logged_with_its_device(
    browse, owner: Browser, caplog: pytest.LogCaptureFixture
) -> None:
    phone = browse()
    device = pair(owner, phone, add(owner, "Tove Reed")["id"])["device"]["id"]
    caplog.set_level(logging.WARNING, "nubbin")
    assert phone.get("/api/audit")[0] == 403
    assert phone.post("/api/access/claim", {"token": "x" * 43, "device_name": "p"})[0] == 403
    said = [record.getMessage() for record in caplog.records if record.name == "nubbin"]
    assert said == [
        f"GET '/api/audit' was answered not-allowed, from {device} at testclient.",
        "POST '/api/access/claim' was answered link-unknown, from testclient.",
    ]
    assert "xxx" not in caplog.text
