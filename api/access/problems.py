"""What can go wrong with people, devices and their secrets.

SignedOut          401
└── NotHeld               not-held        a shared phone that nobody holds
Forbidden          403
├── NotAllowed            not-allowed     the role is too low
├── LinkUnknown           link-unknown    no such link or code, or a withdrawn one
├── LinkUsed              link-used
├── LinkExpired           link-expired
├── WrongPin              wrong-pin       with `tries_left`
└── WrongPassword         wrong-password
NotFound           404
├── NoSuchPerson          no-such-person
└── NoSuchDevice          no-such-device
Conflict           409
├── NotShared             not-shared      this phone is one person's own
├── NoPin                 no-pin          the person has none yet
└── LastOwner             last-owner      a farm keeps at least one
Weak               422
├── WeakPin               weak-pin
└── WeakPassword          weak-password
SlowDown           429
└── PinLocked             pin-locked      with `wait_s`
"""

from typing import ClassVar

from api.problems import ApiError, Conflict, Forbidden, NotFound, SignedOut, SlowDown


class NotHeld(SignedOut):
    code, title = "not-held", "Nobody holds this shared phone."
    usual = "What was recorded stays on this phone. Say who holds it to go on."


class NotAllowed(Forbidden):
    code, title = "not-allowed", "This needs another role."

    def __init__(self, role: str) -> None:
        who = {"lead": "a lead", "owner": "an owner"}[role]
        super().__init__(f"Nothing was changed. Only {who} of the farm may do this: ask one.")


class LinkUnknown(Forbidden):
    code, title = "link-unknown", "This link or pairing code is not known here."
    usual = "Check that the whole link was opened, or ask a lead for a new code."


class LinkUsed(Forbidden):
    code, title = "link-used", "This link or pairing code was already used."
    usual = "Each opens one device. Ask a lead for a new code, or make a link with: nubbin link"


class LinkExpired(Forbidden):
    code, title = "link-expired", "This link or pairing code is too old."
    usual = "Ask a lead for a new code, or make a link on the server with: nubbin link"


class WrongPin(Forbidden):
    code, title = "wrong-pin", "That is not the PIN."

    def __init__(self, tries_left: int) -> None:
        left = f"{tries_left} more {'try' if tries_left == 1 else 'tries'} before a wait."
        super().__init__(f"Nothing was changed. {left}", tries_left=tries_left)


class WrongPassword(Forbidden):
    code, title = "wrong-password", "That name and password do not go together."
    usual = "Nothing was changed. Only owners who have set a password can sign in by one."


class NoSuchPerson(NotFound):
    code, title = "no-such-person", "There is nobody with this key here."
    usual = "Nothing was changed. Open the list of people again."


class NoSuchDevice(NotFound):
    code, title = "no-such-device", "There is no device with this key here."
    usual = "Nothing was changed. Open the list of phones again."


class NotShared(Conflict):
    code, title = "not-shared", "This phone is one person's own."
    usual = "Nothing was changed. Pair it as a shared phone to pass it from hand to hand."


class NoPin(Conflict):
    code, title = "no-pin", "This person has no PIN yet."
    usual = "Nothing was changed. A lead sets the first one under Setup, People."


class LastOwner(Conflict):
    code, title = "last-owner", "This is the farm's last owner."
    usual = "Nothing was changed. Make somebody else an owner first."


DOOR = (SignedOut, NotHeld, NotAllowed)
"""What every address answers whose rule is lead or owner."""


class Weak(ApiError):
    status, code, title = 422, "weak", "This secret is too easy to guess."


class WeakPin(Weak):
    code, title = "weak-pin", "This PIN is too easy to guess."
    usual = "Nothing was changed. Take 4 to 8 digits that are neither all alike nor in a row."


class WeakPassword(Weak):
    code, title = "weak-password", "This password is too short."
    usual = "Nothing was changed. Take 15 characters or more; a few words in a row are good."


class PinLocked(SlowDown):
    code: ClassVar[str] = "pin-locked"
    title = "Too many wrong tries."

    def __init__(self, wait_s: int) -> None:
        minutes = -(-wait_s // 60)
        wait = f"{minutes} minute{'' if minutes == 1 else 's'}"
        super().__init__(f"Nothing was changed. Wait {wait}, then try again.", wait_s=wait_s)
