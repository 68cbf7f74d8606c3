"""What can be wrong with healing arithmetic, as one small tree.

HealingError (a ValueError)
├── RowsError        a row of the input cannot be read as an interval of days
├── TooFewCutsError  a spread between cuts was asked of fewer than two cuts
├── ShareError       counts that are no proportion, or a level outside (0, 1)
├── NotSettledError  the fit did not reach its promised accuracy
└── NotSeparatedError  a trait goes with the groups and cannot be taken out (predict/errors.py)
"""


class HealingError(ValueError):
    """Any refusal of the healing arithmetic; the sentence says what to do."""


class RowsError(HealingError):
    """A row is not a valid interval; nothing was fitted."""


class TooFewCutsError(HealingError):
    """Fewer than two cuts carry no information on how cuts differ."""


class ShareError(HealingError):
    """Counts, totals or a confidence level that make no proportion."""


class NotSettledError(HealingError):
    """The maximum was not reached to the promised accuracy."""
