"""Healing: from looks at pieces to days until ready, shares lost, and how sure both are.

    facts -> stock -> traits, intervals -> groups -> estimate, loss -> notes, sentence -> report
    rows -> intersections -> likelihood, maximise -> incidence -> resample, influence -> bands
    counts -> proportions
    groups -> compare/, predict/adjusted -> comparison     groups side by side
    groups -> predict/ -> likely                           what each piece will likely do
    groups -> warn/ -> warnings                            losses that stand out
    groups -> behind                                       the pieces that a number counts
    a table of another program -> plain_table              `nubbin estimate`

The second and third line, and the three folders, are pure functions of arrays. `asked` reads what
an address asks; `facts`, `stock` and `tanks` read the database, `looks`, `likely` and `behind` the
little that their answers need besides, and only routes the clock. Pieces are columns of numbers
throughout (`groups.Table`, of which each group is a view): a million of them are one report.
"""

import os

# The matrices here have at most a few hundred rows: threads of the linear algebra library gain
# nothing on them, and while they spin they take the processor from pushes. It is read once, when
# numpy is first loaded, so it is set before any module of this package can load it.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
