"""Caveats of the area: readiness."""

CAVEATS: dict[str, str] = {
    "never_checked_in": "No check-in yet: nothing can be said of today.",
    "no_checkin": "No check-in and no test in the last days: no call is made.",
    "no_checkin_but_test": "No check-in in the last days; the call rests on tests and known load alone.",
    "thin_baseline": "Too few own answers so far: nothing is called unusual yet.",
}
