"""What each command of `nubbin` does. Each returns the exit code and raises what `main` says.

A command's module is loaded when it is asked for: `nubbin link` should not wait for what draws
labels, serves or does statistics.
"""

from importlib import import_module
from typing import Any

_IN = {
    "copies": ("backup", "new_epoch", "restore"),
    "estimate": ("estimate",),
    "farm": ("init", "link", "migrate", "replay", "staff"),
    "paper": ("openapi", "print_labels"),
    "serve": ("demo", "serve"),
    "take_in": ("take_in",),
}


def command(name: str) -> Any:
    """The function of a command, by its name as in `_IN`."""
    [module] = (module for module, names in _IN.items() if name in names)
    return getattr(import_module(f"api.commands.{module}"), name)
