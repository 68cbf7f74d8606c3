"""Healing: from looks at pieces to days until ready, shares lost, and how sure both are.

    stock -> intervals -> groups -> estimate, loss -> notes, sentence -> report
    rows -> intersections -> likelihood, maximise -> incidence -> resample -> bands
    counts -> proportions

The second and third line are pure functions of arrays. Only `stock` reads the database, only
`report` the clock.
"""

import os

# The matrices here have at most a few hundred rows: threads of the linear algebra library gain
# nothing on them, and while they spin they take the processor from pushes. It is read once, when
# numpy is first loaded, so it is set before any module of this package can load it.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
