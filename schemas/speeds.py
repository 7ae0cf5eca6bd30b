"""The one home of how fast a stretch of a run can be: the checks of the record and the keys at the track read it."""

SLOWEST_MPS = 0.5  # m/s, mean speed between two splits; below it nobody runs (design of the record)
FASTEST_MPS = 13.0  # m/s; the fastest published 10 m stretch is about 12.35 m/s (from memory)
# A time typed further than this share from every other of its kind is asked about once, never refused; own choice.
UNUSUAL_SHARE = 0.15
ELECTRONIC_DECIMALS = 2  # digits after the point of an electronic time; common practice, no source
