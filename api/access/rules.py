"""Who may use an address: every handler carries one of these words as its `rule`.

    open     anybody, signed in or not
    paired   a device of the farm, whether or not somebody holds it
    keeper   whoever holds it: looks, checks, sends
    lead     keepers' and phones' doings, lists, labels, quarantine
    owner    leads and owners too

Each takes in what stands below it. A handler without a rule answers nobody.
"""

from typing import Literal

from api.access.person import Caller, Role
from api.access.problems import NotAllowed, NotHeld

Rule = Literal["open", "paired", "keeper", "lead", "owner"]
RULES: tuple[Rule, ...] = ("open", "paired", "keeper", "lead", "owner")
RULE = "rule"
"""The name that a handler's rule has among its options."""


def check(rule: Rule, caller: Caller) -> None:
    """Raises NotHeld or NotAllowed where a paired device may not use an address."""
    if rule in ("open", "paired"):
        return
    if caller.person is None:
        raise NotHeld
    if not reaches(caller.person.role, rule):
        raise NotAllowed(rule)


def reaches(role: Role, rule: Rule) -> bool:
    """Whether a role is as high as a rule asks."""
    return RULES.index(role) >= RULES.index(rule)
