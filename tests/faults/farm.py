"""Drafts for the phones of a world, and a small farm to make them about."""

import random
from typing import Any

from tests.faults.handsets import Phone
from tests.sync.phone import LISTS

Draft = dict[str, Any]
MOUTHS = ("none", "bud", "open")
RECESSIONS = ("none", "rim", "quarter")


def draft(kind: str, subject: tuple[str, str], **body: Any) -> Draft:
    return {"kind": kind, "subject": {"kind": subject[0], "id": subject[1]}, "body": body}


def check(piece: str, chance: random.Random) -> Draft:
    """A check as a person would make it, by chance."""
    body: dict[str, Any] = {"mouth": chance.choice(MOUTHS), "encrustation": chance.randrange(5)}
    if chance.random() < 0.3:
        body["recession"] = chance.choice(RECESSIONS)
    return draft("check", ("piece", piece), **body)


def note(piece: str, text: str) -> Draft:
    return draft("note", ("piece", piece), text=text)


async def plant(phone: Phone, pieces: int) -> list[str]:
    """Lists, a mother, a cut and its glued pieces, recorded and sent by one phone."""
    ids = (await phone.do("id", count=pieces + 3))["ids"]
    mother, cut, sitting, found = ids[0], ids[1], ids[2], ids[3:]
    lists = [draft("define", ("item", key), list=name, fields=fields)
             for key, name, fields in LISTS]  # fmt: skip
    await phone.save(
        *lists,
        draft("arrival", ("piece", mother), line="Amber", species="species.lobo", origin="wild"),
        draft("cut", ("cut", cut), sitting=sitting, mother=mother, method="method.band-saw"),
    )
    glue = {"cut": cut, "base": "base.hex-40", "purpose": "sale"}
    for start in range(0, pieces, 100):
        part = found[start : start + 100]
        await phone.save(*(draft("glue", ("piece", piece), **glue) for piece in part))
    assert await phone.drain() is None
    return list(found)
