"""Where photos are kept: the same promises in the data folder and in a bucket."""

import os
from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest

from api.database import Database
from api.photos import giving
from api.photos.bucket_store import BucketStore
from api.photos.life import build_store
from api.photos.local_store import LocalStore
from api.photos.problems import StoreAway
from api.photos.settings import PhotoSettings, load_photo_settings
from api.photos.store import Missing, Store, place
from api.photos.worker import Reader
from api.start_errors import BadSettings
from tests.photos import pictures
from tests.photos.bucket import BucketServer
from tests.photos.farm import name_photo, photos_at, send, sha256

pytestmark = pytest.mark.anyio
ONE, OTHER = "ab" * 32, "cd" * 32
FULL, SMALL = bytes(range(256)) * 4000, b"\xff\xd8 small \xff\xd9"


@pytest.fixture(scope="module")
def server() -> Iterator[BucketServer]:
    started = BucketServer()
    yield started
    started.stop()


@pytest.fixture(params=["local", "bucket"])
async def store(request: pytest.FixtureRequest, tmp_path: Path) -> AsyncIterator[Store]:
    opened: Store = (
        LocalStore(tmp_path / "photos" / "kept")
        if request.param == "local"
        else BucketStore(request.getfixturevalue("server").settings)
    )
    yield opened
    await opened.close()


async def test_what_was_put_is_got_whole_in_each_size(store: Store) -> None:
    await store.put(ONE, "full", FULL)
    await store.put(ONE, "small", SMALL)
    assert await store.get(ONE, "full") == FULL
    assert await store.get(ONE, "small") == SMALL


async def test_putting_again_is_harmless_and_the_last_stands(store: Store) -> None:
    await store.put(ONE, "full", FULL)
    await store.put(ONE, "full", SMALL)
    assert await store.get(ONE, "full") == SMALL


async def test_what_was_never_put_is_missing(store: Store) -> None:
    await store.put(ONE, "full", FULL)
    for name, size in ((OTHER, "full"), (OTHER, "small")):
        with pytest.raises(Missing):
            await store.get(name, size)


@pytest.mark.parametrize("name", ["../../etc/passwd", "AB" * 32, "ab" * 31, "ab" * 32 + "\n", ""])
def test_no_other_name_becomes_a_place(name: str) -> None:
    with pytest.raises(AssertionError):
        place(name, "full")


async def test_the_folder_holds_whole_files_only(tmp_path: Path) -> None:
    store = LocalStore(tmp_path / "photos" / "kept")
    await store.put(ONE, "full", FULL)
    await store.put(ONE, "small", SMALL)
    files = {path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*")
             if path.is_file()}  # fmt: skip
    assert files == {f"photos/kept/ab/{ONE}.jpg", f"photos/kept/ab/{ONE}.small.jpg"}


async def test_a_failed_write_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = LocalStore(tmp_path)
    await store.put(ONE, "full", FULL)

    def fail(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fail)
    with pytest.raises(OSError, match="No space"):
        await store.put(ONE, "full", SMALL)
    monkeypatch.undo()
    assert await store.get(ONE, "full") == FULL
    assert [path.name for path in tmp_path.rglob("*") if path.is_file()] == [f"{ONE}.jpg"]


async def test_the_bucket_holds_jpegs_by_the_same_names(server: BucketServer) -> None:
    store = BucketStore(server.settings)
    await store.put(OTHER, "full", FULL)
    await store.put(OTHER, "small", SMALL)
    held = server.objects()
    assert held.items() >= {
        f"cd/{OTHER}.jpg": "image/jpeg", f"cd/{OTHER}.small.jpg": "image/jpeg",
    }.items()  # fmt: skip


async def test_a_bucket_that_does_not_answer_says_that_the_photo_stays(
    server: BucketServer,
) -> None:
    down = BucketServer()
    store = BucketStore(down.settings)
    await store.put(ONE, "full", FULL)
    down.stop()
    nowhere = BucketStore(server.other("no-such-bucket"))
    for away in (store, nowhere):
        with pytest.raises(StoreAway) as told:
            await away.put(ONE, "full", FULL)
        problem = told.value.problem()
        assert (problem.status, problem.code) == (503, "store-away")
        assert problem.detail.startswith("The photo stays on the phone and is sent again later.")
    with pytest.raises(StoreAway):
        await store.get(ONE, "full")


async def test_a_photo_goes_in_and_out_through_a_bucket(
    db: Database, reader: Reader, tmp_path: Path
) -> None:
    photo, other = pictures.noisy(200, 150), pictures.noisy(200, 150, seed=2)
    server = BucketServer()
    photos = photos_at(db, tmp_path, reader, BucketStore(server.settings))
    name = await name_photo(db, photo)
    assert (await send(photos, photo)).state == "kept"
    jpeg = await giving.picture(photos.store, name, "full")
    assert await giving.kept_hash(db, photos.store, name) == sha256(jpeg)
    server.stop()
    with pytest.raises(StoreAway):
        await giving.picture(photos.store, name, "full")
    coming = await name_photo(db, other, number=2)
    with pytest.raises(StoreAway):
        await send(photos, other)
    state = await photos.state(coming)
    assert (state.state, state.received) == ("arriving", len(other))


def bucket(**more: str) -> dict[str, str]:
    return {
        "NUBBIN_PHOTOS_BUCKET": "farm", "NUBBIN_PHOTOS_ENDPOINT": "https://photos.example:9000/",
        "NUBBIN_PHOTOS_KEY_ID": "key", "NUBBIN_PHOTOS_SECRET_KEY": "deep secret",
    } | {f"NUBBIN_PHOTOS_{name}": value for name, value in more.items()}  # fmt: skip


def test_settings_from_the_environment(tmp_path: Path) -> None:
    assert load_photo_settings({}) == PhotoSettings()
    assert isinstance(build_store(load_photo_settings({}), tmp_path), LocalStore)
    found = load_photo_settings(bucket(REGION="eu-1"))
    assert found == PhotoSettings(
        "farm", "https://photos.example:9000", "eu-1", "key", "deep secret"
    )
    assert load_photo_settings(bucket()).region == "us-east-1"
    assert isinstance(build_store(found, tmp_path), BucketStore)
    assert "deep secret" not in repr(found)


@pytest.mark.parametrize(
    ("environment", "words"),
    [
        ({"NUBBIN_PHOTOS_BUCKET": "farm"}, "NUBBIN_PHOTOS_ENDPOINT and NUBBIN_PHOTOS_KEY_ID and "
         "NUBBIN_PHOTOS_SECRET_KEY are missing. Set them"),
        (bucket(SECRET_KEY=" "), "NUBBIN_PHOTOS_SECRET_KEY is missing. Set it"),
        (bucket(BUCKET=""), "NUBBIN_PHOTOS_BUCKET is not. Set it too"),
        (bucket(BUCKET="My Farm"), "'My Farm', and no bucket has such a name"),
        (bucket(BUCKET="../x"), "no bucket has such a name"),
        (bucket(ENDPOINT="photos.example"), "Give the whole address"),
        (bucket(ENDPOINT="ftp://photos.example"), "Give the whole address"),
        (bucket(ENDPOINT="https://"), "Give the whole address"),
        (bucket(ENDPOINT="http://photos.example:port"), "Give the whole address"),
        (bucket(ENDPOINT="http://["), "Give the whole address"),
    ],
)  # fmt: skip
def test_a_mistake_in_the_settings_is_told(environment: dict[str, str], words: str) -> None:
    with pytest.raises(BadSettings) as told:
        load_photo_settings(environment)
    assert words in str(told.value)
    assert "deep secret" not in str(told.value)


def test_a_copy_without_the_library_says_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.photos.life.find_spec", lambda _name: None)
    with pytest.raises(BadSettings, match=r"pip install 'nubbin\[s3\]'"):
        build_store(load_photo_settings(bucket()), tmp_path)
