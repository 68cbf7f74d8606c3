"""What can go wrong with a label, and what each sentence must tell a person.

::

    LabelError
    ├── CodeError                  a text that was scanned or typed
    │   ├── ForeignCode            no label of ours
    │   └── WrongCheckCharacter    looks like ours, but a character is wrong
    ├── HostError                  the address that the symbols carry
    │   ├── HostMissing            none was set
    │   ├── BadHost                not a plain host name
    │   └── HostTooLong            does not fit the symbol at this width
    ├── GeometryError              the sheet or the roll cannot be as described
    └── PrintError                 this print cannot be made on that sheet
        ├── DoesNotFit             symbol and code have no room on the label
        ├── BadStart               no such position on the sheet
        ├── BadResolution          no printer prints that finely or coarsely
        └── NothingToPrint         no codes were given

``str(error)`` is always a sentence that says what was wrong and what to do.
"""


class LabelError(Exception):
    """Root of everything this package raises on purpose."""


class CodeError(LabelError):
    """A scanned or typed text gives no code."""

    def __init__(self, text: str, sentence: str) -> None:
        super().__init__(sentence)
        self.text = text


class ForeignCode(CodeError):
    """The text does not have the shape of a label issued here."""

    def __init__(self, text: str) -> None:
        super().__init__(
            text,
            "This is not one of the farm's labels. A label's code has eight characters, such as "
            "4JQZ-KDMN, and never 0, O, 1, I or L. Scan the label on the base, or type its code.",
        )


class WrongCheckCharacter(CodeError):
    """The text has the right shape, but its last character does not agree with the others."""

    def __init__(self, text: str, shown: str) -> None:
        super().__init__(
            text,
            f"The code {shown} has a wrong or swapped character, so nothing was looked up. "
            "Compare it with the label, letter by letter, and type it again.",
        )
        self.shown = shown


class HostError(LabelError):
    """The address of the labels cannot be used."""


class HostMissing(HostError):
    def __init__(self) -> None:
        super().__init__(
            "Labels carry a web address, and no host name for it has been set. Set the label "
            "host first: it is printed for good, so choose one that the farm will keep."
        )


class BadHost(HostError):
    def __init__(self, host: str) -> None:
        super().__init__(
            f"'{host}' cannot be the label host. Give the host name alone, such as "
            "labels.example or labels.example:8443: letters, digits, dots and hyphens, "
            "without https:// and without a path."
        )


class HostTooLong(HostError):
    def __init__(self, host: str, width_mm: float, longest: int) -> None:
        super().__init__(
            f"The label host '{host}' has {len(host)} characters; a symbol {width_mm:g} mm wide "
            f"holds at most {longest}. Choose a wider label or a shorter host name."
        )
        self.longest = longest


class GeometryError(LabelError):
    """The measures of a sheet or a roll contradict each other."""


class PrintError(LabelError):
    """The print asked for cannot be made."""


class DoesNotFit(PrintError):
    """Symbol and printed code have no room on the label."""


class BadStart(PrintError):
    def __init__(self, start: int, positions: int) -> None:
        super().__init__(
            f"There is no position {start} on this sheet: its positions are numbered from 1 to "
            f"{positions}, row by row from the top left. Give the first free one."
        )


class BadResolution(PrintError):
    def __init__(self, dpi: float, lowest: int, highest: int) -> None:
        super().__init__(
            f"{dpi:g} dots an inch is not a printer's resolution that labels are made for. "
            f"Give a number from {lowest} to {highest}; common ones are 203, 300 and 600."
        )


class WillNotRead(PrintError):
    """No camera would read what this printer makes of the symbol."""


class BeyondAdjusting(PrintError):
    def __init__(self, shift_mm: float, stretch: float) -> None:
        super().__init__(
            f"What was measured on the calibration page is off by up to {shift_mm:.1f} mm and "
            f"{100 * stretch:.1f} %. A printer is off by 5 mm and 2 % at most: more than that is "
            "another paper size, the wrong tray, or a page that was fitted instead of printed at "
            "actual size. Print the calibration page again at actual size, and measure again."
        )


class NothingToPrint(PrintError):
    def __init__(self) -> None:
        super().__init__("No codes were given, so there is nothing to print. Choose some labels.")
