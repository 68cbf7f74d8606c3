"""What can be wrong with the database, each with a sentence that says what to do.

DatabaseError
├── DatabaseCorrupt      the file is no database, or its pages are damaged
└── DatabaseUnreachable  the folder cannot be written, or PostgreSQL does not answer
"""


class DatabaseError(Exception):
    """Base of all. `str(error)` is a sentence for a person."""


class DatabaseCorrupt(DatabaseError):
    """The file was opened and is damaged. Nothing has been changed in it."""

    def __init__(self, where: str, why: str) -> None:
        super().__init__(
            f"The database {where} is damaged ({why}). Nothing was changed in it. "
            "Keep a copy of the file, then put back the newest backup in its place."
        )


class DatabaseUnreachable(DatabaseError):
    """The database could not be opened at all."""

    def __init__(self, where: str, why: str) -> None:
        super().__init__(
            f"The database {where} cannot be opened ({why}). "
            "See that its folder exists and can be written, or that the PostgreSQL server runs "
            "and the address, user and password are right."
        )
