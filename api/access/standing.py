"""Whether who began a request may still do what it asks, at the moment it is done.

The guard decides before the body has come, and a body may be slow: somebody signed out meanwhile
would still be obeyed. So each write of a request looks again, behind the counter row that the
signing out took as well: what is written was asked by somebody who was in, or it is not written.
"""

from dataclasses import dataclass

from api.access.person import Caller, Person
from api.access.problems import NotAllowed, NotHeld
from api.access.rules import Rule, check, reaches
from api.access.sessions import find_caller_of, find_revoked_of
from api.database import Write
from api.problems import SignedOut
from api.records.clock import now_ms


@dataclass(frozen=True)
class Standing:
    """What a request was let in for. Call it in a write: raises SignedOut, NotHeld, NotAllowed."""

    rule: Rule
    caller: Caller

    async def __call__(self, tx: Write) -> None:
        now = await find_caller_of(tx, self.caller.session, now_ms())
        check(self.rule, now)
        if self.rule != "paired" and now.holder != self.caller.holder:
            raise NotHeld
        before = self.caller.person
        # The handler goes by the role that the guard saw, which may be higher than its rule.
        if before and now.person and not reaches(now.person.role, before.role):
            raise NotAllowed(before.role)


async def sender_now(tx: Write, sender: Person) -> Person:
    """A sender as they stand: signed out for good since they began to send, they are marked so.

    Raises SignedOut where the session ended in another way, and NotHeld where somebody else holds
    the phone by now.
    """
    if sender.revoked:
        return sender
    now = now_ms()
    try:
        found = (await find_caller_of(tx, sender.session, now)).person
    except SignedOut:
        revoked = await find_revoked_of(tx, sender.session, now)
        if revoked is None or revoked.person is None:
            raise
        return revoked.person
    if found is None or found.staff != sender.staff:
        raise NotHeld
    return found
