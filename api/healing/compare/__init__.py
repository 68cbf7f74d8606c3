"""Two groups of pieces side by side: how large the difference is, and how sure.

    rows of both ── scores ── permute ──────────── p, and the smallest p the design can give
         └── pair (both curves, with cuts left out) ┬ shares   F(day), in pieces per hundred
                                                     └ halves   the day half are ready, in days
    counts of pieces alone ── counts ──────────── Barnard's exact p
    arms drawn in each cut ── within ─────────────── paired by cut, with t; their p is permute's
    several p ── several            traits of both ── confounded ── what cannot be separated

`contrast` gathers pair, shares and halves. All are pure functions of arrays. Rows of both groups
number their cuts alike: a cut with pieces in both groups has one number.
"""
