"""What is said above the likely days, word for word."""

from api.healing.likely_notes import BY_LOOKS, NOT_BY_LOOKS, likely_notes, too_early

NOBODY = "No piece is healing here that was looked at since its cut."
LATE = "been healing for longer than nearly all others did. No date is given: look at them."
HOPELESS = "hardly a chance left to get ready, or no end in sight. No date is given: look at them."


def test_late_and_hopeless_pieces_are_counted_apart_and_each_once():
    assert likely_notes(2, 3, [], by_looks=True)[2:] == [
        BY_LOOKS, f"2 pieces have {LATE}", f"3 pieces have {HOPELESS}",
    ]  # fmt: skip
    assert likely_notes(0, 0, [], by_looks=False)[2:] == [NOT_BY_LOOKS]


def test_why_nothing_is_said_yet_and_none_where_it_can_be():
    assert too_early(0, 50) == NOBODY
    assert too_early(5, 9) == (
        "Too early to say: 9 of 10 pieces that it takes were seen getting ready."
    )
    assert too_early(5, 10) is None
