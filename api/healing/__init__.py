"""Healing: from looks at pieces to days until ready, shares lost, and how sure both are.

    rows -> intersections -> likelihood, maximise -> incidence -> resample -> bands
    counts -> proportions

Pure functions of arrays; nothing here reads the database or the clock.
"""
