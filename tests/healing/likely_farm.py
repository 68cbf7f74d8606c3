"""A farm with pieces still healing, and what is said of them on an evening."""

from dataclasses import replace

import numpy as np

from api.database import Database
from api.healing.likely import Watched, likely, read_watched, starts_of
from api.healing.likely_shapes import Likely
from api.healing.looks import Look, read_looks
from api.healing.stock import Stock, read_stock
from tests.healing.farm_book import Book, fill, on_day, run


def read_of(
    folder, book: Book, day: int, tray: str | None = None, endpoint: str = "sale",
    today: str | None = None,
) -> tuple[Stock, Watched, list[Look]]:  # fmt: skip
    """What is read on the evening of `day`, from the log, as the address reads it."""

    async def work(db: Database) -> tuple[Stock, Watched, list[Look]]:
        await fill(db, book, on_day(day))
        stock = await read_stock(db, on_day(day), ids=True)
        stock = replace(stock, today=today or stock.today)
        watched = await read_watched(db, stock, endpoint, tray)
        return stock, watched, await read_looks(
            db, starts_of(stock, watched), stock.facility.zone
        )  # fmt: skip

    return run(folder, work)


def likely_of(folder, book: Book, day: int, endpoint: str = "sale", **more) -> Likely:
    """The answer on the evening of `day`."""
    stock, watched, looks = read_of(folder, book, day, endpoint=endpoint, **more)
    return likely(stock, endpoint, on_day(day), watched, looks)


def farm(young: int = 4) -> Book:
    """Eight old cuts ready about day 60, then a cut of day 70 whose pieces are seen until 90."""
    random = np.random.default_rng(8)
    book = Book()
    for _ in range(8):
        days = 60 + random.integers(-5, 6) + random.integers(-8, 9, 6)
        book.pieces(book.cut(), *[f"l{day - 7} r{day}" for day in days], "l7 x14")
    book.pieces(book.cut(day=70), *["l10 l20"] * young, start=70, tray="tray.a", place="A1")
    return book
