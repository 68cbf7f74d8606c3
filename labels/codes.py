"""The code of a label: seven random characters and one that checks them.

The check character follows the pure system of ISO/IEC 7064 with radix 2 and, because the
alphabet has 31 characters, modulus 31: a code c1..c8 is valid when
sum(c_i * 2^(8 - i)) = 1 (mod 31). 31 is prime and divides neither 2, 2 - 1 nor 2^2 - 1, so every
single wrong character, every swap of neighbours and every swap across one character is found.
Since 2^5 = 1 (mod 31), a swap of two characters exactly five apart is not.

The standard's hybrid system must not be used with this alphabet: its recursion doubles modulo
32, an even number, and doubling is then not one-to-one, so single errors slip through.
"""

import re
from random import Random
from secrets import SystemRandom

from stdnum.iso7064 import mod_37_2

from labels.errors import ForeignCode, WrongCheckCharacter

A31 = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
LENGTH = 8

# Written out instead of \s, which differs between languages: the phone strips the same ones.
SEPARATORS = " \t\r\n-\u00a0\u2009\u2010\u2011\u2012\u2013\u2014\u202f\u2212"

_BARE = re.compile(r"[2-9A-HJKMNP-Z]{8}", re.IGNORECASE | re.ASCII)
_ADDRESS = re.compile(r"HTTPS?://[^/]+/Q/([2-9A-HJKMNP-Z]{8})", re.IGNORECASE | re.ASCII)
_WITHOUT_SEPARATORS = str.maketrans("", "", SEPARATORS)
_SYSTEM = SystemRandom()


def check_character(data: str) -> str:
    """The character that makes ``data`` (characters of A31) valid when it is put behind it.

    Raises ValueError for a character outside the alphabet.
    """
    return str(mod_37_2.calc_check_digit(data, alphabet=A31))


def make_code(random: Random = _SYSTEM) -> str:
    """A new code: 31^7 = 2.75e10 possible ones, so the caller retries on the rare repeat."""
    data = "".join(random.choices(A31, k=LENGTH - 1))
    return data + check_character(data)


def is_valid(code: str) -> bool:
    """True for eight upper-case characters of A31 that agree with their check character."""
    return len(code) == LENGTH and bool(mod_37_2.is_valid(code, alphabet=A31))


def display(code: str) -> str:
    """The code as it is printed: ``4JQZKDMN`` becomes ``4JQZ-KDMN``."""
    return f"{code[:4]}-{code[4:]}"


def parse(text: str) -> str:
    """The code in a scanned or typed text.

    Takes the printed form in either case, with spaces or hyphens anywhere, and the address in a
    symbol, ``HTTPS://HOST/Q/CODE``. The host is ignored, so that a label outlives a move of the
    server; nothing may follow the code.

    Raises ForeignCode if the shape is not ours, WrongCheckCharacter if only the check fails.
    """
    trimmed = text.strip(SEPARATORS)
    address = _ADDRESS.fullmatch(trimmed)
    bare = address[1] if address else trimmed.translate(_WITHOUT_SEPARATORS)
    if not _BARE.fullmatch(bare):
        raise ForeignCode(text)
    code = bare.upper()
    if not is_valid(code):
        raise WrongCheckCharacter(text, display(code))
    return code
