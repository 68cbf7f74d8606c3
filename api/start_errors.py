"""Why a command of `nubbin` could not do its work. `str(error)` is what a person reads.

CannotStart                 said on standard error; the command ends with code 2
├── BadSettings             the environment or nubbin.toml
├── NoDataFolder            missing, no folder, or not writable
├── AlreadyRunning          another server holds this data folder
├── CannotListen            the port is in use, or the address is not this machine's
└── NothingDone             what was asked cannot be done: the reason is in the sentence
"""


class CannotStart(Exception):
    """Base of all. Nothing was changed."""


class BadSettings(CannotStart):
    """A setting cannot be used: which, in what file and line, and what to write."""


class NoDataFolder(CannotStart):
    """The data folder cannot be used."""


class AlreadyRunning(CannotStart):
    """One SQLite file has one server: two would each believe to be the only writer."""


class CannotListen(CannotStart):
    """The address cannot be listened on."""


class NothingDone(CannotStart):
    """A command was refused."""
