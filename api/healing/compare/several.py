"""Several comparisons at once: p-values raised so that one false alarm among all stays rare."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from api.healing.errors import ShareError
from api.healing.rows import FloatArray


def holm(p: npt.ArrayLike) -> FloatArray:
    """Holm's adjusted p-values (Holm 1979, Scand J Stat 6:65), in the order given; shape (k,).

    The i-th smallest of k is multiplied by k - i + 1, never falls below the one before it, and
    stays at most 1. Equal p get equal answers. No p, no answers. ShareError for one that is not
    from 0 to 1: leave a comparison that was not made out of the list.
    """
    values = np.asarray(p, np.float64)
    if values.ndim != 1 or not np.all((values >= 0.0) & (values <= 1.0)):
        raise ShareError(
            "A p-value is missing or not from 0 to 1; leave out comparisons that were not made."
        )
    order = np.argsort(values, kind="stable")
    raised = values[order] * np.arange(values.size, 0, -1)
    out = np.empty_like(values)
    out[order] = np.minimum(np.maximum.accumulate(raised), 1.0)
    return out
