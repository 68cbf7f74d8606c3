"""What each command of `nubbin` does. Each returns the exit code and raises what `main` says."""

from api.commands.copies import backup, new_epoch, restore
from api.commands.estimate import estimate
from api.commands.farm import init, link, migrate, replay, staff
from api.commands.paper import DEFAULT_GEOMETRY, openapi, print_labels
from api.commands.serve import demo, serve
from api.commands.take_in import take_in

__all__ = [
    "DEFAULT_GEOMETRY",
    "backup",
    "demo",
    "estimate",
    "init",
    "link",
    "migrate",
    "new_epoch",
    "openapi",
    "print_labels",
    "replay",
    "restore",
    "serve",
    "staff",
    "take_in",
]
