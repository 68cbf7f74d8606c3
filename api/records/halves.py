"""Half an emoji: a UTF-16 surrogate without its other half, which browsers write as an escape.

RFC 8259, section 8.2, leaves such text to the reader, and the reader used here takes none. It is
replaced by U+FFFD, the replacement character: the rest of a note is worth more than what nobody
could read anyway, and one note must not hold up a whole outbox.
"""

import re

_ESCAPES = re.compile(
    rb"\\(?:u[dD][89abAB][0-9a-fA-F]{2}\\u[dD][c-fC-F][0-9a-fA-F]{2}"  # both halves
    rb"|(?P<lone>u[dD][89a-fA-F][0-9a-fA-F]{2})"
    rb"|.)",
    re.DOTALL,
)


def mended(text: bytes) -> bytes:
    """JSON with every lone surrogate escape replaced. Other text, JSON or not, stays as it is."""
    return _ESCAPES.sub(lambda found: rb"\ufffd" if found["lone"] else found[0], text)
