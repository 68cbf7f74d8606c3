"""Who holds a code: of the pieces that claim it, the one with the lowest (at, record id)."""

from collections import defaultdict
from collections.abc import Iterable

from api.database import Write
from api.stock.state import Claim, PieceState


async def taken_codes(tx: Write, states: dict[str, PieceState]) -> list[Claim]:
    """The claims of these pieces to codes that another piece holds."""
    own = {piece: {c.code: c for c in state.codes} for piece, state in states.items()}
    codes = {code for claims in own.values() for code in claims}
    rows = await tx.rows_in("SELECT code, piece, at, record FROM claim WHERE code IN (?)", codes)
    by_code: dict[str, list[tuple[int, str, str]]] = defaultdict(list)
    for row in rows:
        by_code[row["code"]].append((row["at"], row["record"], row["piece"]))
    return list(_losing(own, by_code))


def _losing(
    own: dict[str, dict[str, Claim]], by_code: dict[str, list[tuple[int, str, str]]]
) -> Iterable[Claim]:
    for piece, claims in own.items():
        for code, claim in claims.items():
            if min(by_code[code])[2] != piece:
                yield claim
