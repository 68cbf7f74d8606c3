"""Planning: what the farm's own records say about what to do next.

draw         which arm of a trial the next piece goes to; the phones draw, this is the same rule
spread       how unlike pieces of one mother are, out of the log
trial_size   how many cuts a trial takes to show a difference worth knowing
"""
