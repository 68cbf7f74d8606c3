"""Early warning: cuts or trays that lose more than the farm's others of the same age.

    rows by unit ── expected ─┬─ funnel                       how they stand today, side by side
                              └─ hazard ── looks ── sequential  each unit, as its looks come in
    beta_binomial             what the funnel allows for: units differ by more than chance
    notes                     why nothing stands out, in words

All are pure functions of arrays. A unit is a cut or a tray; what is expected of it comes from the
other units' curve of losses, as far as its own pieces have been watched.
"""
