"""What else can be wrong with a prediction or an adjusted comparison.

api.healing.errors.HealingError
└── NotSeparatedError  two groups differ so much in a trait that the two cannot be told apart
"""

from api.healing.errors import HealingError


class NotSeparatedError(HealingError):
    """The difference between groups cannot be separated from that of a trait."""
