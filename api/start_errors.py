"""Why a command of `nubbin` could not do its work. `str(error)` is what a person reads.

CannotStart                 said on standard error; the command ends with code 2
├── BadSettings             the environment or nubbin.toml
├── NoDataFolder            missing, no folder, or not writable
├── AlreadyRunning          another server holds this data folder
├── CannotListen            the port is in use, or the address is not this machine's
├── StartFailed             an application broke off as it started
├── BadCertificate          HTTPS cannot be offered with what is there
│   ├── UnreadableKeyFile   no certificate or key can be read from a file
│   ├── KeyDoesNotFit       the private key belongs to another certificate
│   ├── CertificateEnded    its time is over, or has not begun
│   └── AuthorityEnded      the farm's own authority is at its end
├── NothingDone             what was asked cannot be done: the reason is in the sentence
└── BadBackup               a backup is damaged, or is none
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


class StartFailed(CannotStart):
    """Our fault, or the database's: what was said on standard error tells."""


class BadCertificate(CannotStart):
    """A certificate cannot be used: which file, why, and what to put in its place."""


class UnreadableKeyFile(BadCertificate):
    """A file is missing, not readable, or holds no certificate or no private key."""


class KeyDoesNotFit(BadCertificate):
    """Certificate and private key are not a pair."""


class CertificateEnded(BadCertificate):
    """No phone would take this certificate today."""


class AuthorityEnded(BadCertificate):
    """Every phone has to trust a new authority."""


class NothingDone(CannotStart):
    """A command was refused."""


class BadBackup(CannotStart):
    """Nothing is put back from a file that does not pass every check."""
