"""The process that reads photos: its limits, its death, its end."""

import asyncio
import hashlib
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections.abc import AsyncIterator, Callable
from pathlib import Path

import pytest

from api.photos.decode import Picture, Refusal
from api.photos.problems import ReaderAway
from api.photos.worker import TRIES, Limits, Reader, Work
from tests.photos import pictures
from tests.photos.work import begun, hang, hang_once

pytestmark = pytest.mark.anyio
ROOT = Path(__file__).parents[2]
Make = Callable[..., Reader]


@pytest.fixture
async def make() -> AsyncIterator[Make]:
    readers = []

    def new(limits: Limits | None = None, work: Work | None = None) -> Reader:
        readers.append(Reader(limits, work) if work else Reader(limits))
        return readers[-1]

    yield new
    for reader in readers:
        await reader.close()


def write(path: Path, content: bytes) -> tuple[Path, str]:
    path.write_bytes(content)
    return path, hashlib.sha256(content).hexdigest()


async def until(fact: Callable[[], object]) -> None:
    """Wait for something that must come; the limit only keeps a failure from lasting for ever."""
    for _ in range(3000):
        if fact():
            return
        await asyncio.sleep(0.01)
    raise AssertionError("it never came")


def is_alive(pid: int) -> bool:
    try:
        stat = Path(f"/proc/{pid}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False
    return stat.rpartition(")")[2].split()[0] != "Z"


async def test_photos_are_read_in_one_other_process(make: Make, tmp_path: Path) -> None:
    reader = make()
    photo = write(tmp_path / "a", pictures.plain())
    found = await asyncio.gather(*(reader.read(*photo) for _ in range(4)))
    assert {type(picture) for picture in found} == {Picture}
    assert len(multiprocessing.active_children()) == 1
    assert multiprocessing.active_children()[0].pid == reader._worker != os.getpid()
    assert await reader.read(photo[0], "0" * 64) == Refusal("other-hash")
    bomb = write(tmp_path / "b", pictures.webp(16_000, 3200))
    assert await reader.read(*bomb) == Refusal("too-many-pixels"), "before a decoder is made"


async def test_a_worker_killed_in_the_middle_is_replaced(make: Make, tmp_path: Path) -> None:
    reader = make(work=hang_once)
    photo = write(tmp_path / "a", b"hang")
    reading = asyncio.ensure_future(reader.read(*photo))
    await until(begun(photo[0]).exists)
    first = reader._worker
    photo[0].write_bytes(pictures.plain())
    os.kill(first, signal.SIGKILL)
    # The second try reads what is there by now: another content than was named.
    assert await reading == Refusal("other-hash")
    assert reader._worker != first
    assert isinstance(await reader.read(*write(tmp_path / "a", pictures.plain())), Picture)


async def test_a_photo_that_kills_each_worker_is_refused_and_the_next_read(
    make: Make, tmp_path: Path
) -> None:
    reader = make(work=hang)
    photo = write(tmp_path / "a", b"hang")
    reading = asyncio.ensure_future(reader.read(*photo))
    for _ in range(TRIES):
        await until(begun(photo[0]).exists)
        begun(photo[0]).unlink()
        os.kill(reader._worker, signal.SIGKILL)
    why = "Reading it stopped the program that reads, twice over."
    assert await reading == Refusal("not-a-photo", why)
    assert isinstance(await reader.read(*write(tmp_path / "b", pictures.plain())), Picture)


async def test_a_photo_that_takes_too_long_is_refused_and_its_worker_ended(
    make: Make, tmp_path: Path
) -> None:
    reader = make(Limits(seconds=0.3), hang)
    reading = asyncio.ensure_future(reader.read(*write(tmp_path / "a", b"hang")))
    await until(begun(tmp_path / "a").exists)
    worker = reader._worker
    assert await reading == Refusal("not-a-photo", "It could not be read within 0.3 seconds.")
    assert not is_alive(worker)
    reader.limits = Limits()
    assert isinstance(await reader.read(*write(tmp_path / "b", pictures.plain())), Picture)


@pytest.mark.skipif(sys.platform != "linux", reason="other systems do not tell or do not bound it")
async def test_a_photo_that_takes_too_much_memory_is_refused(make: Make, tmp_path: Path) -> None:
    reader = make(Limits(memory=24 * 1024**2))
    large = write(tmp_path / "a", pictures.encode(pictures.quarters(4000, 3000), "PNG"))
    why = "Reading it takes more memory than a photo may use."
    assert await reader.read(*large) == Refusal("not-a-photo", why)
    assert isinstance(await reader.read(*write(tmp_path / "b", pictures.plain())), Picture)
    roomy = make()
    assert isinstance(await roomy.read(*large), Picture)


async def test_closing_ends_the_worker_even_in_the_middle(make: Make, tmp_path: Path) -> None:
    reader = make(work=hang)
    reading = asyncio.ensure_future(reader.read(*write(tmp_path / "a", b"hang")))
    await until(begun(tmp_path / "a").exists)
    worker = reader._worker
    await reader.close()
    with pytest.raises(ReaderAway):
        await reading
    assert not is_alive(worker)
    with pytest.raises(ReaderAway):
        await reader.read(tmp_path / "a", "0" * 64)


async def test_the_terminals_interrupt_is_the_servers_business(make: Make, tmp_path: Path) -> None:
    reader, photo = make(), write(tmp_path / "a", pictures.plain())
    await reader.read(*photo)
    worker = reader._worker
    os.kill(worker, signal.SIGINT)
    assert isinstance(await reader.read(*photo), Picture)
    assert reader._worker == worker


SERVER = """
import asyncio, sys
from pathlib import Path
from api.photos.worker import Reader

async def main():
    reader = Reader()
    await reader.read(Path(sys.argv[1]), "0" * 64)
    print(reader._worker, flush=True)
    await asyncio.sleep(600)

if __name__ == "__main__":
    asyncio.run(main())
"""


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_a_worker_leaves_with_a_server_that_was_killed(tmp_path: Path) -> None:
    (tmp_path / "server.py").write_text(SERVER)
    (tmp_path / "a").write_bytes(b"x")
    server = subprocess.Popen(
        [sys.executable, str(tmp_path / "server.py"), str(tmp_path / "a")], cwd=ROOT,
        env=os.environ | {"PYTHONPATH": str(ROOT)}, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    assert server.stdout is not None
    worker = int(server.stdout.readline())
    assert is_alive(worker)
    server.kill()
    server.wait()
    for _ in range(3000):
        if not is_alive(worker):
            break
        time.sleep(0.01)
    assert not is_alive(worker)
    server.stdout.close()
