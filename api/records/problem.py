"""A problem as RFC 9457 describes it, for one record of a batch or for a whole answer."""

from msgspec import Struct


class Problem(Struct, frozen=True):
    """`title` says what is wrong, `detail` what was kept and what to do; `code` is for programs."""

    type: str
    title: str
    status: int
    detail: str
    code: str


def problem(code: str, status: int, title: str, detail: str) -> Problem:
    """A problem whose type is this project's own address for its code."""
    return Problem(f"/problems/{code}", title, status, detail, code)
