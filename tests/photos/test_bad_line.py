"""A 5 MB photo over a line that breaks 20 times, and a server that is killed, both for real."""

import asyncio
import io
import random
import signal
from pathlib import Path

from PIL import Image

from api.database import open_database
from tests.photos import pictures
from tests.photos.farm import name_photo, sha256
from tests.photos.line import PART, Line, link
from tests.server.running import nubbin, started

SIZE = 5_000_000
CUTS = 20
SENT_AGAIN = 0.10
UNDER_WAY = 24 * 1024
"""Bytes at most that have left the phone when its line breaks, and get nowhere."""


def large_photo() -> bytes:
    photo = pictures.noisy(2048, 1536, quality=98)
    assert abs(len(photo) - SIZE) < 0.1 * SIZE, len(photo)
    return photo


def place(folder: Path, target: str | Path) -> dict[str, str]:
    """The data folder made, and the environment that names its database."""
    environment = {"NUBBIN_DATABASE": target} if isinstance(target, str) else {}
    made = nubbin("init", "--data", folder, **environment)
    assert made.returncode == 0, made.stderr
    return environment


def named(folder: Path, target: str | Path, photo: bytes, number: int = 60_000) -> str:
    """Lay a record in the log behind the server's back; returns the photo's hash."""

    async def name() -> str:
        db = await open_database(target if isinstance(target, str) else folder / "nubbin.sqlite")
        found = await name_photo(db, photo, number=number)
        await db.close()
        return found

    return asyncio.run(name())


def test_a_photo_over_a_line_that_breaks_twenty_times(tmp_path: Path, target: str | Path) -> None:
    environment, photo = place(tmp_path, target), large_photo()
    name, dice = named(tmp_path, target, photo), random.Random(17)
    with started("serve", "--data", tmp_path, "--port", "0", **environment) as (_, first):
        line = Line(*link(first))
        through = 0
        for number in range(CUTS):
            at = line.state(name)["received"]
            part, lost = photo[at : at + PART], dice.randrange(UNDER_WAY)
            after = dice.randrange(1, len(part) - lost)
            line.cut(name, at, part, after, lost=lost, reset=number % 2 == 1)
            through += after
        state = line.state(name)
        assert state["state"] == "arriving"
        while state["state"] != "kept":
            at = state["received"]
            status, state = line.part(name, at, photo[at : at + PART])
            assert status == 200, state
        got = line.get(f"/api/photos/{name}")
    again = line.sent - len(photo)
    print(f"{again} of {len(photo)} bytes were sent again over {CUTS} broken connections")
    assert 0 < again <= SENT_AGAIN * len(photo)
    assert through > SENT_AGAIN * len(photo), "dropping what came of broken parts would not do"
    # Only bytes of the very hash that was named are ever decoded and kept.
    assert name == sha256(photo)
    assert Image.open(io.BytesIO(got.content)).size == (2048, 1536)


def test_a_photo_whose_server_is_killed_goes_on_after_it(
    tmp_path: Path, target: str | Path
) -> None:
    environment, photo = place(tmp_path, target), large_photo()
    name = named(tmp_path, target, photo)
    port, line = "0", None
    for kills in range(2):
        with started("serve", "--data", tmp_path, "--port", port, **environment) as (server, said):
            line = line or Line(*link(said))
            port = str(line.at[1])
            at = line.state(name)["received"]
            assert at >= kills * 2 * PART, "what was acknowledged is there"
            for _ in range(2):
                status, state = line.part(name, at, photo[at : at + PART])
                assert (status, state["received"]) == (200, at + PART)
                at += PART
            line.cut(name, at, photo[at : at + PART], 100_000)
            server.send_signal(signal.SIGKILL)
            server.wait()
    with started("serve", "--data", tmp_path, "--port", port, **environment):
        state = line.state(name)
        while state["state"] != "kept":
            at = state["received"]
            _, state = line.part(name, at, photo[at : at + PART])
    assert line.sent <= len(photo) + 2 * PART, "at most a part again for each kill"
