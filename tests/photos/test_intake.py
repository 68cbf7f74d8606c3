"""A photo on its way in: every step, every wrong turn, on both databases."""

import asyncio
import io
from pathlib import Path
from typing import Any

import msgspec
import pytest
from PIL import Image

from api.database import Database
from api.photos import giving
from api.photos.intake import Photos
from api.photos.problems import (
    NotAPhoto,
    OtherHash,
    PhotoNotHere,
    PhotoTooLarge,
    TooManyPixels,
    UnknownPhoto,
    WrongOffset,
)
from api.photos.state import PhotoState
from tests.photos import pictures
from tests.photos.farm import PLACES, name_photo, parts, send, sha256
from tests.photos.segments import is_bare
from tests.sync.phone import Phone, begin

pytestmark = pytest.mark.anyio
PHOTO = pictures.noisy(900, 700)


def files(folder: Path) -> list[str]:
    return sorted(
        path.relative_to(folder).as_posix()
        for path in folder.rglob("*") if path.is_file() and "sqlite" not in path.name
    )  # fmt: skip


async def test_a_photo_comes_in_part_by_part(photos: Photos, db: Database, tmp_path: Path) -> None:
    name, half = await name_photo(db, PHOTO), len(PHOTO) // 2
    wanted = PhotoState(db.epoch, name, 0, len(PHOTO), "wanted", None)
    assert await photos.state(name) == wanted
    arriving = msgspec.structs.replace(wanted, received=half, state="arriving")
    assert await photos.take(name, 0, parts(PHOTO[:1000], PHOTO[1000:half])) == arriving
    assert await photos.state(name) == arriving
    assert files(tmp_path) == [f"arriving/{name}.part"]
    with pytest.raises(PhotoNotHere):
        await giving.kept_hash(db, photos.store, name)

    kept = msgspec.structs.replace(wanted, received=len(PHOTO), state="kept")
    assert await photos.take(name, half, parts(PHOTO[half:])) == kept
    assert await photos.state(name) == kept
    assert files(tmp_path) == [
        f"kept/{name[:2]}/{name}.jpg", f"kept/{name[:2]}/{name}.small.jpg",
    ]  # fmt: skip
    full, small = [await giving.picture(photos.store, name, size) for size in ("full", "small")]
    assert await giving.kept_hash(db, photos.store, name) == sha256(full)
    sizes = [Image.open(io.BytesIO(jpeg)).size for jpeg in (full, small)]
    assert sizes == [(900, 700), (320, 249)]
    assert is_bare(full)
    assert is_bare(small)
    [row] = await db.rows("SELECT * FROM photo")
    assert row.pop("arrived_at") > 1_700_000_000_000
    assert row == {
        "sha256": name, "media": "image/jpeg", "bytes": len(PHOTO), "state": "kept",
        "stored_sha": sha256(full), "width": 900, "height": 700, "problem": None,
    }  # fmt: skip


async def test_a_photo_outlives_a_database_put_back_from_an_older_backup(
    photos: Photos, db: Database
) -> None:
    """The phone has deleted it, the store has it, the row is gone with the newer database."""
    name = await name_photo(db, PHOTO)
    await send(photos, PHOTO)
    async with db.write() as tx:
        before = await tx.rows("DELETE FROM photo RETURNING *")
    assert await db.rows("SELECT * FROM photo") == []
    hashed = await giving.kept_hash(db, photos.store, name)
    after = await db.rows("SELECT * FROM photo")
    assert [row | {"arrived_at": 0} for row in after] == [row | {"arrived_at": 0} for row in before]
    assert hashed == sha256(await giving.picture(photos.store, name, "full"))
    assert (await photos.state(name)).state == "kept"


@pytest.mark.parametrize("offset", [0, 77, len(PHOTO)])
async def test_a_part_after_the_end_is_answered_kept(
    photos: Photos, db: Database, tmp_path: Path, offset: int
) -> None:
    name = await name_photo(db, PHOTO)
    kept = await send(photos, PHOTO)
    assert await photos.take(name, offset, parts(b"again")) == kept
    assert await photos.take(name, offset, parts()) == kept
    assert [name for name in files(tmp_path) if "arriving" in name] == []


async def test_a_photo_follows_the_record_that_was_pushed(photos: Photos, db: Database) -> None:
    [piece] = await begin(db)
    phone = Phone("phone")
    body = {"sha256": sha256(PHOTO), "bytes": len(PHOTO), "media": "image/jpeg", "day0": True}
    with pytest.raises(UnknownPhoto):
        await photos.state(sha256(PHOTO))
    await phone.push(db, [phone.make("photo", ("piece", piece), body)])
    assert (await send(photos, PHOTO)).state == "kept"


@pytest.mark.parametrize("place", PLACES)
async def test_a_photo_is_wanted_wherever_its_record_lies(
    photos: Photos, db: Database, place: str
) -> None:
    name = await name_photo(db, PHOTO, place)
    assert (await photos.state(name)).state == "wanted"
    with pytest.raises(PhotoNotHere):
        await giving.kept_hash(db, photos.store, name)
    assert (await send(photos, PHOTO)).state == "kept"


async def test_a_hash_that_no_photo_record_names_is_unknown(photos: Photos, db: Database) -> None:
    name = sha256(PHOTO)
    await name_photo(db, b"another", "log")
    await name_photo(db, PHOTO, "refused", bytes="many")
    async with db.write() as tx:
        for number, text in enumerate((
            f'{{"kind":"note","body":{{"text":"see \\"{name}\\""}}}}',
            f'{{"kind":"note","body":{{"sha256":"{name}","bytes":9,"media":"x"}}}}',
            f'not even JSON, "{name}"',
            "[" * 3000 + f'"{name}"',
        )):  # fmt: skip
            await tx.many(
                "INSERT INTO refused (digest, device, received, problem, record) "
                "VALUES (?, 'phone', 1, '{}', ?)", [(f"digest{number}", text)],
            )  # fmt: skip
    for ask in (photos.state(name), photos.take(name, 0, parts(PHOTO)),
                giving.kept_hash(db, photos.store, name)):  # fmt: skip
        with pytest.raises(UnknownPhoto):
            await ask
    assert await db.rows("SELECT * FROM photo") == []


@pytest.mark.parametrize("offset", [0, 999, 1001, 10**9])
async def test_a_part_that_does_not_follow_is_told_how_much_is_here(
    photos: Photos, db: Database, offset: int
) -> None:
    name = await name_photo(db, PHOTO)
    await photos.take(name, 0, parts(PHOTO[:1000]))
    with pytest.raises(WrongOffset) as told:
        await photos.take(name, offset, parts(PHOTO[offset : offset + 100]))
    assert told.value.extra == {"received": 1000}
    assert (await photos.state(name)).received == 1000


async def test_two_phones_sending_one_photo_at_once_do_it_no_harm(
    photos: Photos, db: Database
) -> None:
    name = await name_photo(db, PHOTO)
    states = await asyncio.gather(*(send(photos, PHOTO, size) for size in (9_999, 33_333, 50_000)))
    assert {state.state for state in states} == {"kept"}
    assert await giving.kept_hash(db, photos.store, name)


async def test_other_bytes_than_were_named_are_dropped_and_the_photo_is_wanted(
    photos: Photos, db: Database, tmp_path: Path
) -> None:
    name = await name_photo(db, PHOTO)
    other = bytes((PHOTO[0] ^ 1,)) + PHOTO[1:]
    with pytest.raises(OtherHash):
        await photos.take(name, 0, parts(other))
    assert await photos.state(name) == PhotoState(db.epoch, name, 0, len(PHOTO), "wanted", None)
    assert files(tmp_path) == []
    assert (await send(photos, PHOTO)).state == "kept"


REFUSED: dict[str, tuple[bytes, Any]] = {
    "a text file": (b"This is a note, named coral.jpg.\n" * 50, NotAPhoto),
    "half a picture": (pictures.noisy(300, 200)[:20_000], NotAPhoto),
    "a moving WebP": (pictures.moving("WEBP"), NotAPhoto),
    "a bomb": (pictures.png(20_000, 10_000), TooManyPixels),
}


@pytest.mark.parametrize("what", REFUSED)
async def test_what_can_never_be_a_photo_is_refused_and_says_why(
    photos: Photos, db: Database, tmp_path: Path, what: str
) -> None:
    content, kind = REFUSED[what]
    name = await name_photo(db, content)
    with pytest.raises(kind) as told:
        await photos.take(name, 0, parts(content))
    problem = told.value.problem()
    assert problem.detail.endswith(kind.usual)
    refused = PhotoState(db.epoch, name, 0, len(content), "refused", problem)
    assert await photos.state(name) == refused
    assert files(tmp_path) == []
    # A last part whose answer was lost is answered alike; begun again, it is looked at again.
    for offset, body in ((len(content) - 3, content[-3:]), (len(content), b""), (0, content)):
        with pytest.raises(kind) as again:
            await photos.take(name, offset, parts(body))
        assert again.value.problem() == problem
    assert await photos.state(name) == refused
    with pytest.raises(PhotoNotHere, match="refused here"):
        await giving.kept_hash(db, photos.store, name)


async def test_more_than_its_record_says_is_not_taken(photos: Photos, db: Database) -> None:
    name = await name_photo(db, PHOTO)
    with pytest.raises(PhotoTooLarge, match=f"the {len(PHOTO)} bytes that its record names"):
        await photos.take(name, 0, parts(PHOTO, b"x"))
    with pytest.raises(PhotoTooLarge):
        await photos.take(name, len(PHOTO), parts(b"x"))
    assert (await photos.take(name, len(PHOTO), parts())).state == "kept"


async def test_no_record_can_ask_for_more_than_is_allowed(photos: Photos, db: Database) -> None:
    name = await name_photo(db, PHOTO, "refused", bytes=10**12)
    photos.arriving.append(name, 0, bytes(15_000_000))
    with pytest.raises(PhotoTooLarge, match="at most 15 MB"):
        await photos.take(name, 15_000_000, parts(b"x"))
