"""Early warning: cuts or trays that lose more than the farm's others of the same age.

    rows by unit ── expected ─┬─ funnel      how they stand today, all units side by side
                              └─ sequential  one unit, as its looks come in
    beta_binomial             what both allow for: units differ by more than chance

All are pure functions of arrays. A unit is a cut or a tray; what is expected of it comes from the
other units' curve of losses, as far as its own pieces have been watched.
"""
