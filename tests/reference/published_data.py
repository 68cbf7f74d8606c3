"""Published data sets, typed in as printed, as rows of intervals."""

from __future__ import annotations

import re

from api.healing.rows import Cause, IntervalRows

# Breast cosmesis: days stand for months to breast retraction. Finkelstein & Wolfe 1985,
# Biometrics 41:933, the copy used by Fay & Shaw 2010, J Stat Softw 36(2). Copies differ.
RADIATION = (
    "0-5 0-7 0-8 4-11 5-11 5-12 6-10 7-14 7-16 11-15 11-18 17-25 17-25 19-26 19-35 25-37 26-40 "
    "27-34 36-44 36-48 37-44 15+ 17+ 18+ 22+ 24+ 24+ 32+ 33+ 34+ 36+ 36+ 37+ 37+ 37+ 38+ 40+ 45+ "
    "46+ 46+ 46+ 46+ 46+ 46+ 46+ 46+"
)
RADIATION_CHEMOTHERAPY = (
    "0-5 0-22 4-8 4-9 5-8 8-12 8-21 10-17 10-35 11-13 11-17 11-20 12-20 13-39 14-17 14-19 15-22 "
    "16-20 16-24 16-24 16-60 17-23 17-26 17-27 18-24 18-25 19-32 22-32 24-30 24-31 30-34 30-36 "
    "33-40 35-39 44-48 11+ 11+ 13+ 13+ 13+ 21+ 23+ 31+ 32+ 34+ 34+ 35+ 48+"
)

# Remission under 6-mercaptopurine and placebo, weeks. Freireich et al. 1963, Blood 21:699.
MERCAPTOPURINE = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"

# Bone marrow transplants, months. Scrucca, Santucci & Aversa 2007, Bone Marrow Transplant 40:381.
# T death from treatment, R relapse, c censored; both diseases together.
TRANSPLANTS = (
    "0T 0R 1T 1R 3R 4R 5R 7R 8R 9R 12T 13R 14R 22R 26R 35c 72c "
    "2c 2R 3T 3T 3T 4c 4T 4T 7c 7R 8c 8T 10R 32c 35c 67c 68c 70c"
)

# Simulated pieces of five cuts: r ready, x lost, c still healing. Made for this check; the
# masses beside its test were computed by the R package MLEcens 0.1-7.1.
FORTY_PIECES = (
    "r12-19 r46-53 r38-46 r54-59 x4-11 r31-40 r24-31 r53-61",
    "r34-39 c39 r25-34 x20-32 c40 c39 c39 r18-25",
    "c28 c34 c29 x0-7 c28 r14-21 x0-7 c27",
    "r24-32 c31 r16-25 c32 c30 x0-10 x25-32 x16-23",
    "r35-43 r20-34 r29-34 r14-22 r13-22 x0-6 r50-56 r34-43",
)

# Pups alive at 21 days in rat litters, alive/born. Weil 1970, Food Cosmet Toxicol 8:177, as in
# Rao & Scott 1992, Biometrics 48:577.
LITTERS_CONTROL = "13/13 12/12 9/9 9/9 8/8 8/8 12/13 11/12 9/10 9/10 8/9 11/13 4/5 5/7 7/10 7/10"
LITTERS_TREATED = "12/12 11/11 10/10 9/9 10/11 9/10 9/10 8/9 8/9 4/5 7/9 4/7 5/10 3/6 3/10 0/7"


def one_cause(text: str) -> IntervalRows:
    """'4-11' an event in (4, 11], '15+' none by 15; each piece its own cut."""
    pairs = [(s[:-1], s[:-1]) if s.endswith("+") else s.split("-") for s in text.split()]
    cause = [Cause.STILL if s.endswith("+") else Cause.READY for s in text.split()]
    left, right = [int(a) for a, _ in pairs], [int(b) for _, b in pairs]
    return IntervalRows.of(left, right, cause, range(len(cause)))


def exact_days(text: str) -> IntervalRows:
    """'6' an event on day 6, that is in (5, 6]; '6+' none by the end of day 6."""
    return one_cause(" ".join(s if s.endswith("+") else f"{int(s) - 1}-{s}" for s in text.split()))


def transplants() -> IntervalRows:
    """Relapse as 'ready', death from treatment as 'lost'; one day later, since some are on 0."""
    kinds = {"R": Cause.READY, "T": Cause.LOST, "c": Cause.STILL}
    found = [(int(s[:-1]) + 1, kinds[s[-1]]) for s in TRANSPLANTS.split()]
    left = [day if cause == Cause.STILL else day - 1 for day, cause in found]
    return IntervalRows.of(left, [day for day, _ in found], [cause for _, cause in found])


def forty_pieces() -> IntervalRows:
    """The five cuts of eight pieces; a piece still healing has both bounds on one day."""
    kinds = {"r": Cause.READY, "x": Cause.LOST, "c": Cause.STILL}
    found = []
    for cut, text in enumerate(FORTY_PIECES):
        for kind, left, right in re.findall(r"([rxc])(\d+)(?:-(\d+))?", text):
            found.append((int(left), int(right or left), kinds[kind], cut))
    left, right, cause, cluster = zip(*found, strict=True)
    return IntervalRows.of(left, right, cause, cluster)


def litters(text: str) -> tuple[list[int], list[int]]:
    """(alive, born) of each litter."""
    pairs = [s.split("/") for s in text.split()]
    return [int(y) for y, _ in pairs], [int(n) for _, n in pairs]
