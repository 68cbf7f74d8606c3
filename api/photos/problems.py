"""What can go wrong with photos.

    NotFound           404
    ├── UnknownPhoto          unknown-photo    no record names it
    └── PhotoNotHere          photo-not-here   a record names it, and it has not arrived
    Conflict           409
    └── WrongOffset           wrong-offset     with `received`: how much is here
    TooLarge           413
    └── PhotoTooLarge         photo-too-large  more bytes than its record says, or than is allowed
    PhotoRefused       422    photo-refused
    ├── OtherHash             other-hash       what arrived is not the photo that was named
    ├── NotAPhoto             not-a-photo      no JPEG, PNG or WebP that can be read
    └── TooManyPixels         too-many-pixels
    PhotosAway         503    photos-away
    ├── StoreAway             store-away       where photos are kept does not answer
    └── ReaderAway            reader-away      the worker that reads photos does not run
    DiskFull           507    disk-full

Whatever it is, the phone keeps its photo until it has been told that the photo is kept here.
"""

from api.problems import ApiError, Conflict, NotFound, TooLarge


class UnknownPhoto(NotFound):
    code, title = "unknown-photo", "No record names this photo."
    usual = "Nothing was taken. Send the record first; the phone keeps the photo until then."


class PhotoNotHere(NotFound):
    code, title = "photo-not-here", "This photo has not arrived here yet."
    usual = "It is still on the phone that took it, and comes when that phone next has a network."


class WrongOffset(Conflict):
    code, title = "wrong-offset", "This part of the photo does not follow what is here."

    def __init__(self, received: int) -> None:
        what = "Nothing of it has" if not received else f"Its first {received} bytes have"
        super().__init__(f"{what} arrived. Go on from there.", received=received)


class PhotoTooLarge(TooLarge):
    code, title = "photo-too-large", "The photo is larger than it may be."
    usual = "It was not taken and stays on the phone. A photo has at most 15 MB."


class PhotoRefused(ApiError):
    status, code, title = 422, "photo-refused", "This photo cannot be taken."
    usual = "It stays on the phone."


class OtherHash(PhotoRefused):
    code, title = "other-hash", "What arrived is not the photo that the record names."
    usual = "What arrived was dropped. The photo is still on the phone: send it from its beginning."


class NotAPhoto(PhotoRefused):
    code, title = "not-a-photo", "This file cannot be read as a photo."
    usual = "It was not kept here and stays on the phone. Take the picture again if it matters."


class TooManyPixels(PhotoRefused):
    code, title = "too-many-pixels", "The photo has too many pixels."
    usual = "It was not kept here and stays on the phone. A photo has at most 50 megapixels."


class PhotosAway(ApiError):
    status, code, title = 503, "photos-away", "Photos cannot be taken at the moment."
    usual = "The photo stays on the phone and is sent again later."


class StoreAway(PhotosAway):
    code, title = "store-away", "The place where photos are kept does not answer."
    usual = (
        "The photo stays on the phone and is sent again later. If this lasts, the owner looks at "
        "the photo store's address and keys in the server's settings."
    )


class ReaderAway(PhotosAway):
    code, title = "reader-away", "The server cannot read photos at the moment."
    usual = (
        "It is stopping, or has too little memory to start its reader. The photo stays on the "
        "phone and is sent again later."
    )


class DiskFull(ApiError):
    status, code, title = 507, "disk-full", "The server's disk is full."
    usual = "Nothing is lost: the photo stays on the phone. Free some space on the server's disk."
