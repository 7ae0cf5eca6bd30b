"""The one home of what half an interval is: how many standard errors stand between a value and the end of its bar."""

NORMAL_95 = 1.96  # standard errors in half a 95 % interval of the normal distribution, source: "definition"
