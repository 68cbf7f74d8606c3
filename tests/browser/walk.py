"""Every screen of the app and every sheet and step that can be opened on it, one after another."""

from tests.browser.walk_bench import CUTS, TRIALS
from tests.browser.walk_desk import DESK
from tests.browser.walk_state import at, dry, tank
from tests.browser.walk_tank import CHECK, PIECE, SCAN, STOCK

PEOPLE = (
    at("/people", "people"),
    at(None, "people, a new one", "press Add a person", "press Add", opens="access/PersonSheet"),
    at(None, "people, one", "press Cancel", "press Change Ilse Brandt"),
    at(None, "people, a new PIN", "press Set a new PIN", opens="access/PinSheet"),
    at("/people", "people, out for good", "press Change Ilse Brandt", "press Sign out for good",
       opens="access/ConfirmSheet"),
    at("/phones", "phones", "see How phones reach"),
    at(None, "phones, one", "press Change “Computer”", opens="access/PhoneSheet"),
    at("/phones/pair", "pairing"),
    at(None, "pairing, the code", "press Show the code", "see Works once"),
    at("/held", "held", "hold something"),
    at(None, "held, to decide", "press Admit", opens="access/ConfirmSheet"),
    at("/changes", "changes", "see made a pairing code"),
    at("/you", "you"),
    at("/hold", "a phone of one's own"),
    at("/sign-in", "signed in"),
)  # fmt: skip
WAITING = (
    at("/waiting", "waiting, all is sent", "see waits on this phone"),
    tank("/check/{piece}", "check, saved", "cut off", "choose Bud", "press Save", "see Saved:"),
    dry("/piece/{piece}", "piece, photographed offline", "photograph 20", "see Saved: photo"),
    at("/waiting", "waiting, unsent", "see Check: bud", "see Photos"),
    at("/more", "more, unsent"),
    at(None, "more, to be cleared", "press Clear this phone", opens="sync/ClearSheet"),
    at("/waiting", "waiting, refused", "spoil", "connect", "press Send now", "see Needs a look"),
    at(None, "waiting, a photo to be let go of", "see Photos that need a look",
       "press Let go of the photo", opens="photos/LetGoSheet"),
    at("/nowhere", "no such page"),
)  # fmt: skip
STRANGER = (
    tank("/scan", "stranger, scan"),
    at("/stock", "stranger, stock"),
    at("/cuts", "stranger, cuts"),
    at("/labels", "stranger, labels"),
    at("/labels/prints", "stranger, prints"),
    at("/healing", "stranger, healing"),
    at("/healing/likely", "stranger, likely ready"),
    at("/people", "stranger, people"),
    at("/you", "stranger, you"),
    at("/hold", "stranger, hold"),
    at("/sign-in", "sign in", "press Go on"),
    at(None, "sign in, as an owner", "press Sign in as an owner", "press Sign in"),
    at("/sign-in#{bad}", "sign in, a bad link", "see not known here"),
)
SHARED = (
    at("/sign-in#{pairing}", "shared, nobody holds it", "see Who holds this phone"),
    at(None, "shared, by PIN", "press Owner"),
    at("/more", "shared, more"),
)
NEW_FARM = (
    at("/stock", "new farm, stock", "see No pieces here yet"),
    at("/trays", "new farm, trays", "see No trays and tanks are listed yet"),
    at("/lines", "new farm, lines", "see No lines here yet"),
    at("/cuts", "new farm, cuts", "see No cuts yet"),
    at(None, "new farm, no mother", "press Start at the saw", "press Open the sitting",
       "see No colony"),
    at(None, "new farm, no species", "press A mother arrives", "see No species"),
    at("/trials", "new farm, trials", "see Nothing is compared yet"),
    at("/labels", "new farm, labels", "see Choose the label address first"),
    at("/labels/prints", "new farm, prints", "see Nothing printed yet"),
    at("/healing", "new farm, healing"),
    at("/healing/pieces", "new farm, pieces counted", "see No such pieces"),
    at("/healing/compare", "new farm, side by side", "see Nothing to set side by side"),
    at("/healing/warnings", "new farm, losses that stand out", "see How sure"),
    at("/healing/likely", "new farm, likely ready", "see No dates yet"),
    at("/setup", "new farm, setup", "see Nothing listed yet"),
    at("/held", "new farm, held", "see Nothing is held"),
)  # fmt: skip
OWNER = (*SCAN, *PIECE, *CHECK, *STOCK, *CUTS, *DESK, *TRIALS, *PEOPLE, *WAITING)
EVERY = (*OWNER, *STRANGER, *SHARED, *NEW_FARM)
