"""The phone's own outbox, run in Node over a database in memory, against a real server."""

import json
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.app.node import NODE, PWA, install
from tests.browser.farm import Farm, Served
from tests.sync.gateway import Gateway


class Handsets:
    """The harness of `pwa/src/sync/harness.ts`: a line of JSON in, a line out."""

    def __init__(self, base: str) -> None:
        install()
        self.process = subprocess.Popen(
            [str(NODE), str(PWA / "src" / "sync" / "harness.ts"), base],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=PWA,
        )  # fmt: skip

    def do(self, order: str, /, phone: str = "a", **more: Any) -> dict[str, Any]:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps({"do": order, "phone": phone, **more}) + "\n")
        self.process.stdin.flush()
        answer: dict[str, Any] = json.loads(self.process.stdout.readline())
        assert answer["ok"], answer
        return answer

    def close(self) -> None:
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait(20)


@pytest.fixture
def farm(tmp_path: Path) -> Iterator[Farm]:
    served = Served(tmp_path)
    yield served.start()
    served.stop()


@pytest.fixture
def gateway(farm: Farm) -> Iterator[Gateway]:
    opened = Gateway(int(farm.base.rpartition(":")[2]))
    yield opened
    opened.stop()


@pytest.fixture
def handsets(gateway: Gateway) -> Iterator[Handsets]:
    opened = Handsets(gateway.base)
    yield opened
    opened.close()


def check(piece: str, **body: Any) -> dict[str, Any]:
    return {"kind": "check", "subject": {"kind": "piece", "id": piece}, "body": body}


def sign_in(handsets: Handsets, farm: Farm, phone: str = "a") -> None:
    handsets.do("claim", phone, token=farm.link().split("#")[1])
    handsets.do("drain", phone)


def on_server(farm: Farm) -> list[str]:
    return [row["id"] for row in farm.ask("SELECT id FROM log WHERE kind = 'check' ORDER BY seq")]


@pytest.mark.parametrize("what", ["html", "truncated", "offline", "answer-lost"])
def test_an_answer_that_is_none_leaves_the_outbox_as_it_was(
    handsets: Handsets, farm: Farm, what: str
) -> None:
    sign_in(handsets, farm)
    drafts = [check(farm.piece, mouth="bud"), check(farm.piece, mouth="open")]
    made = [record["id"] for record in handsets.do("save", drafts=drafts)["records"]]
    before = handsets.do("outbox")["waiting"]
    handsets.do("fault", what=what, times=3)
    handsets.do("drain")
    after = handsets.do("outbox")["waiting"]
    assert [row["record"]["id"] for row in after] == made
    assert [row["record"] for row in after] == [row["record"] for row in before]
    handsets.do("restart")
    handsets.do("drain")
    for _ in range(8):  # whatever faults are left are used up round by round
        if not handsets.do("outbox")["waiting"]:
            break
        handsets.do("drain")
    assert handsets.do("outbox")["waiting"] == []
    assert on_server(farm) == made


def test_a_gateway_that_has_lost_its_server_leaves_the_outbox_as_it_was(
    handsets: Handsets, farm: Farm, gateway: Gateway
) -> None:
    sign_in(handsets, farm)
    drafts = [check(farm.piece, encrustation=number % 5) for number in range(20)]
    made = [record["id"] for record in handsets.do("save", drafts=drafts)["records"]]
    before = handsets.do("outbox")["waiting"]
    gateway.set(up=False)
    told = handsets.do("drain")
    assert gateway.answered > 0
    assert (told["paused"] is not None, told["problem"]) == (True, None)
    after = handsets.do("outbox")["waiting"]
    assert [row["record"] for row in after] == [row["record"] for row in before]
    assert {row["state"] for row in after} == {"waiting"}
    assert on_server(farm) == []
    gateway.set(up=True)
    assert handsets.do("drain")["paused"] is None
    assert handsets.do("outbox")["waiting"] == []
    assert on_server(farm) == made


def test_two_phones_and_the_server_come_to_one_state(handsets: Handsets, farm: Farm) -> None:
    sign_in(handsets, farm, "a")
    sign_in(handsets, farm, "b")
    handsets.do("clock", "b", ahead_ms=2 * 24 * 3600 * 1000)
    for number in range(30):
        phone = "ab"[number % 2]
        made = handsets.do("save", phone, drafts=[check(farm.piece, encrustation=number % 5)])
        if number % 7 == 0:
            handsets.do("retract", phone, records=[made["records"][0]["id"]])
        if number % 4 == 0:
            handsets.do("drain", phone)
    for phone in "abab":
        handsets.do("drain", phone)
    [row] = farm.ask("SELECT state FROM piece WHERE id = ?", farm.piece)
    server = json.loads(row["state"])
    assert handsets.do("state", "a", piece=farm.piece)["state"] == server
    assert handsets.do("state", "b", piece=farm.piece)["state"] == server
    assert server["checks"] == 25
