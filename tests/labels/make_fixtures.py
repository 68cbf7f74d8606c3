"""Writes fixtures/codes/codes.json, which the Python and the TypeScript tests both run.

    python -m tests.labels.make_fixtures

The shape of the file::

    {
      "alphabet": "23456789ABC...",          the 31 characters, in the order of their values
      "separators": " \\t\\r\\n-...",           what is stripped from a typed code
      "seed": 20240229,                      of the random cases
      "cases": [
        {"name": "why this case is here",
         "text": "what was scanned or typed",
         "kind": "code" | "slip" | "foreign",
         "code": "4JQZKDMN" | null,          only for kind "code"
         "display": "4JQZ-KDMN" | null}      for "code", and for "slip" the code as it was read
      ]
    }

"code" is what parsing returns; "slip" raises WrongCheckCharacter, "foreign" ForeignCode. The
expected values follow from how each case was made, not from the parser.
"""

import json
from pathlib import Path
from random import Random

from labels.codes import A31, SEPARATORS, check_character, make_code

SEED = 20240229
PATH = Path(__file__).parents[2] / "fixtures" / "codes" / "codes.json"

Case = dict[str, str | None]

FOREIGN = {
    "nothing": "",
    "only separators": " - - ",
    "a web page": "HTTPS://LABELS.EXAMPLE/ABOUT",
    "another site's item": "https://shop.example/item/12345678",
    "plain words": "frag tray 7",
    "a number of a product": "4006381333931",
    "seven characters": "4JQZKDM",
    "nine characters": "4JQZKDMNG",
    "a zero": "4JQZ-KDM0",
    "a letter O": "4JQZ-KDMO",
    "a one": "4JQZ-KD1G",
    "a letter I": "4JQI-KDMN",
    "a letter L": "LJQZ-KDMN",
    "an underscore": "4JQZ_KDMN",
    "a dot": "4JQZ.KDMN",
    "a letter beyond ASCII": "4JQZKDMÄ",
    "the Kelvin sign, whose lower case is k": "4JQZ\u212aDMG",
    "the long s, whose upper case is S": "4JQZKDM\u017f",
    "the sharp s, whose upper case is SS": "4JQZKDß",
    "digits of another script": "4JQZKDM\u0667",
    "wide letters": "４ＪＱＺＫＤＭＧ",
    "a line break inside an address": "HTTPS://LABELS.EXAMPLE/Q/4JQZ\nKDMN",
}


def second_check(data: str) -> str:
    """The check character by weights instead of by recursion."""
    total = sum(A31.index(c) << (len(data) - i) for i, c in enumerate(data))
    return A31[(1 - total) % 31]


def cases(random: Random) -> list[Case]:
    made = [_case(name, text, "foreign") for name, text in FOREIGN.items()]
    code = "4JQZKDM" + second_check("4JQZKDM")
    made += _addresses(code) + _typed(code)
    for number in range(1, 21):
        fresh = make_code(random)
        made.append(_case(f"random code {number}", fresh, "code", fresh))
    for number in range(1, 21):
        made.append(_slip(random, number))
    return made


def _typed(code: str) -> list[Case]:
    first, last = code[:4], code[4:]
    forms = {
        "as printed": f"{first}-{last}",
        "lower case": f"{first}-{last}".lower(),
        "mixed case without hyphen": first + last.lower(),
        "spaces around and inside": f"  {first} {last}\n",
        "a space after every letter": " ".join(code),
        "two lines, as on a small label": f"{first}-\r\n{last}",
        "a typographic dash": f"{first}\u2013{last}",
        "a non-breaking space": f"{first}\u00a0{last}",
    }
    return [_case(name, text, "code", code) for name, text in forms.items()]


def _addresses(code: str) -> list[Case]:
    ours = {
        "the address in a symbol": f"HTTPS://LABELS.EXAMPLE/Q/{code}",
        "another host, after a move": f"HTTPS://OLD.FARM.EXAMPLE/Q/{code}",
        "a port": f"HTTPS://LABELS.EXAMPLE:8443/Q/{code}",
        "lower case address": f"https://labels.example/q/{code.lower()}",
        "without encryption": f"HTTP://LABELS.EXAMPLE/Q/{code}",
        "a host beyond ASCII": f"https://korallen-zücht.example/Q/{code}",
        "a newline from a reader that types": f"HTTPS://LABELS.EXAMPLE/Q/{code}\r\n",
    }
    foreign = {
        "another path": f"HTTPS://LABELS.EXAMPLE/P/{code}",
        "a longer path": f"HTTPS://LABELS.EXAMPLE/A/Q/{code}",
        "something behind the code": f"HTTPS://LABELS.EXAMPLE/Q/{code}/EDIT",
        "a query": f"HTTPS://LABELS.EXAMPLE/Q/{code}?A=1",
        "no host": f"HTTPS:///Q/{code}",
        "another scheme": f"FTP://LABELS.EXAMPLE/Q/{code}",
        "a hyphen in the address": f"HTTPS://LABELS.EXAMPLE/Q/{code[:4]}-{code[4:]}",
        "words before the code": f"label {code}",
    }
    return [_case(name, text, "code", code) for name, text in ours.items()] + [
        _case(name, text, "foreign") for name, text in foreign.items()
    ]


def _slip(random: Random, number: int) -> Case:
    code = make_code(random)
    kind = random.choice(("one wrong character", "neighbours swapped", "swapped across one"))
    step = {"one wrong character": 0, "neighbours swapped": 1, "swapped across one": 2}[kind]
    wrong = code
    while wrong == code:
        at = random.randrange(8 - step)
        letters = list(code)
        if step:
            letters[at], letters[at + step] = letters[at + step], letters[at]
        else:
            letters[at] = random.choice(A31)
        wrong = "".join(letters)
    text = random.choice((f"{wrong[:4]}-{wrong[4:]}", f"HTTPS://LABELS.EXAMPLE/Q/{wrong}"))
    return _case(f"slip {number}: {kind}", text, "slip", wrong)


def _case(name: str, text: str, kind: str, code: str | None = None) -> Case:
    shown = None if code is None else f"{code[:4]}-{code[4:]}"
    found = code if kind == "code" else None
    return {"name": name, "text": text, "kind": kind, "code": found, "display": shown}


def content() -> str:
    assert second_check("4JQZKDM") == check_character("4JQZKDM")
    body = {
        "alphabet": A31,
        "separators": SEPARATORS,
        "seed": SEED,
        "cases": cases(Random(SEED)),
    }
    return json.dumps(body, ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    PATH.parent.mkdir(parents=True, exist_ok=True)
    PATH.write_text(content(), encoding="utf-8")
