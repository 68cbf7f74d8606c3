"""Every screen of the app and every sheet and step that can be opened on it, one after another.

A state is a path and what is done there, in words: ``press Lost``, ``choose Dead``, ``write
Size=18``, ``pick List=Trays``. Without a path of its own it goes on from the state before.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class State:
    """`opens` names the components with a sheet that are open now. In `glare` text needs 7:1; what
    is `wet` is hit with a gloved thumb: 64 px targets with 12 px between."""

    name: str
    path: str | None = None
    do: tuple[str, ...] = ()
    opens: str = ""
    glare: bool = False
    wet: bool = False


def at(path: str | None, name: str, *do: str, opens: str = "") -> State:
    return State(name, path, do, opens)


def dry(path: str | None, name: str, *do: str, opens: str = "") -> State:
    """Read in glare, hit with care: the sheets of a piece."""
    return State(name, path, do, opens, glare=True)


def tank(path: str | None, name: str, *do: str, opens: str = "") -> State:
    return State(name, path, do, opens, glare=True, wet=True)


SCAN = (
    tank("/scan", "scan"),
    tank(None, "scan, a code half typed", "write Code on the label={half}", "press Open"),
    tank("/q/{spare}", "scan, a label not yet on a piece", "see is not on a piece yet"),
    tank("/scan", "scan, by tray and place", "press Tray and place", "see As written",
         opens="scan/PlaceEntry"),
)  # fmt: skip
PIECE = (
    dry("/piece/{piece}", "piece"),
    dry(None, "piece, ready", "press Ready", opens="check/ReadySheet"),
    dry("/piece/{piece}", "piece, lost", "press Lost", "choose Dead", opens="check/LostSheet"),
    dry("/piece/{piece}", "piece, move", "press Move", opens="check/MoveSheet"),
    dry(None, "piece, move by a scan", "press Scan a piece that stands there"),
    dry("/piece/{piece}", "piece, more", "press More", opens="stock/MoreSheet"),
    dry(None, "piece, purpose", "press Change what it is kept for"),
    dry(None, "piece, note", "press Back", "press Write a note"),
    dry(None, "piece, another label", "press Back", "press Put another label on it"),
    dry(None, "piece, gone", "press Back", "press It leaves the farm", "choose Given away"),
    dry(None, "piece, all records", "press Back", "press All its records"),
    dry(None, "piece, take back", "press Take back", opens="stock/RetractSheet"),
    dry("/piece/{piece}", "piece, photographed", "photograph 180", "see Saved: photo"),
    dry("/piece/{piece}", "piece, a photo", "press day ", opens="photos/Framed"),
    dry("/piece/{flagged}", "piece, records that disagree", "see Records that disagree"),
    dry("/piece/{mother}", "piece, a mother"),
    dry("/piece/{lost}", "piece, lost already"),
    dry("/piece/none", "piece, unknown here"),
)
CHECK = (
    tank("/check/{piece}", "check"),
    tank(None, "check, nothing answered", "press Save"),
    tank(None, "check, all of it", "choose Feeding", "open Expansion, signs", "choose Full"),
    tank("/check/{jelly}", "check, brown jelly", "open Expansion, signs", "tick Brown jelly"),
    tank(None, "check, saved with brown jelly", "press Save", "see Done, next piece"),
    tank("/check/{frag}", "check, branching"),
    tank("/check/{lost}", "check, of a lost piece"),
)
STOCK = (
    at("/stock", "stock"),
    at(None, "stock, nothing fits", "write Code=zzz", "see Nothing fits"),
    at("/tray/tray.a1", "tray", "see How many it takes"),
    at("/tray/tray.a2", "tray, places not noted", "see How many it takes"),
    at("/tray/tray.none", "tray, unknown here", "see No such tray here"),
)
CUTS = (
    at("/cuts", "cuts"),
    at(None, "cuts, a mother arrives", "press A mother arrives", "pick Species=Euphyllia ancora"),
    at(None, "cuts, her papers", "open Papers", "press Save"),
    at(None, "cuts, her label", "press Scan"),
    at("/cuts", "cuts, a sitting", "press Start at the saw", "write What is used=Peroxide",
       "write Reservoir=12,5", "write Dose for each litre=2", "write Unit=mL",
       "write Where the dose=The bottle", "pick Blade=Ring 0.6 mm", "see 1 cut with this blade"),
    at(None, "cuts, which mother", "press Open the sitting"),
    at(None, "cuts, how she is cut", "press Hammer", "choose Band saw", "see can be poisonous",
       "see She has rested 30 days; her species is given 90"),
    at(None, "cuts, not confirmed", "choose Hexagonal", "press Start gluing", "see Confirm the"),
    at(None, "cuts, gluing", "tick I have gloves", "press Start gluing", "see 0 pieces glued"),
    at(None, "cuts, one glued", "choose Sale", "pick Tray=A1", "press Glue one without",
       "see glued: piece 1"),
    at(None, "cuts, the end", "press Done with this mother", "choose On a new base",
       opens="cuts/EndSheet"),
    at(None, "cuts, finished", "pick Which base=Hexagonal tile 40 mm", "press Save and finish",
       "see Scan her label"),
    at(None, "cuts, over", "press End the sitting", "see Cuts on this phone"),
)  # fmt: skip
DESK = (
    at("/labels", "labels", "see Make the PDF"),
    at(None, "labels, made", "press Make the PDF", "see Open the PDF"),
    at("/healing", "healing", "see How sure"),
    at(None, "healing, worked out", "open How it is worked out"),
    at("/setup", "setup"),
    at(None, "setup, another address", "press Choose another address", "press Use this address"),
    at(None, "setup, a new base kind", "pick List=Base kinds", "press Add to base kinds",
       opens="access/ItemSheet"),
    at(None, "setup, lists of trays", "press Cancel", "pick List=Trays"),
    at(None, "setup, a tray", "press Change: A1"),
    at("/setup", "setup, a new species", "press Add to species", "press Save"),
)  # fmt: skip
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
    at("/healing", "stranger, healing"),
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
    at("/cuts", "new farm, cuts", "see No cuts yet"),
    at(None, "new farm, no mother", "press Start at the saw", "press Open the sitting",
       "see No colony"),
    at(None, "new farm, no species", "press A mother arrives", "see No species"),
    at("/labels", "new farm, labels", "see Choose the label address first"),
    at("/healing", "new farm, healing"),
    at("/setup", "new farm, setup", "see Nothing listed yet"),
    at("/held", "new farm, held", "see Nothing is held"),
)  # fmt: skip
OWNER = (*SCAN, *PIECE, *CHECK, *STOCK, *CUTS, *DESK, *PEOPLE, *WAITING)
EVERY = (*OWNER, *STRANGER, *SHARED, *NEW_FARM)
