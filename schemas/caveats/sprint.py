"""Caveats of the area: sprint."""

CAVEATS: dict[str, str] = {
    # Why a run has no profile, or one not to build on.
    "hand_timed": "Hand-timed: the error of a hand is as large as what the model would have to see.",
    "false_start": "False start: the clock and the athlete did not start as the convention asks.",
    "no_splits": "The run has no split times.",
    "clock_start_unknown": "What started the clock is not recorded, so the time before the athlete moved is not known.",
    "too_few_splits": "Too few splits: at least 3 are needed, 4 where the clock's offset is unknown too.",
    "times_not_increasing": "A time is not later than the one at the gate before.",
    "fit_at_bound": "The times are not those of a run: the best curve is outside what running can be. Check the unit.",
    "fit_not_converged": "The fit did not come to rest.",
    "poor_fit": "The times miss the model by more than 0.05 s: look for a wrong gate or a false signal.",
    "vmax_not_identified": "The run is too short or too noisy to tell the speed it tends to (error above 1 m/s).",
    "offset_not_identified": "The splits cannot tell the time before the clock started from the acceleration itself.",
    "start_doubtful": "The result is not that of a sprint start: suspect first how the clock was started, or how far "
    "behind the gate the athlete stood.",
    "vmax_implausible": "The fitted top speed is above what anybody has run.",
    "vmax_below_run": "The run itself shows a stretch faster than the fitted top speed, beyond timing noise.",
    "block_push_not_in_model": "The run itself shows a stretch faster than the fitted top speed: the push from the "
    "blocks is not in the model, so the curve is a little late at the start and its top speed a little low.",
    "wide_interval": "The initial acceleration is not known to better than 5 %.",
    # Why a profile is thin.
    "rolling_start": "Rolling start: top speed only; acceleration cannot be had.",
    "gate_offset_unknown": "How far behind the first gate the athlete stood is not recorded; it was estimated.",
    "reaction_doubtful": "The reaction time is below 0.08 s or above 0.50 s: check the entry.",
    "stopped_early": "The run was stopped early.",
    "submaximal_effort": "Asked for less than 95 % effort, so it says nothing about the athlete's best.",
    "timing_unknown": "How the times were taken is not recorded.",
    "few_splits": "Only three splits were fitted: one to check the other two.",
    # Why it is not known how far the curve itself misses the 10 m.
    "model_not_checked": "How far the curve itself misses the 10 m was published for starts from blocks alone, and "
    "fewer than 20 runs of three athletes here have a gate at 10 m beside three others: hold such runs against each "
    "other only, not against another kind of start.",
    # Why there are no force-velocity numbers.
    "resisted": "Resisted run: the force of the athlete is not what moves the body.",
    "no_body_mass": "No body mass within the 180 days before the run.",
    "no_height": "No height within the two years before the run.",
    # Further remarks on a run.
    "past_fastest_cut": "Splits past the fastest 10 m were left out: the model cannot slow down.",
    "resistance_not_stated": "Nobody said whether the run was resisted; it is read as free.",
    "offset_at_limit": "The clock cannot have started before the athlete; the offset is held at that limit.",
    "air_assumed": "Temperature or air pressure is not recorded; the squad's setting is used.",
    "wind_not_measured": "Wind was not measured; still air is reckoned with.",
    # Sleds.
    "sled_surface_unknown": "The surface is not recorded, and loads do not carry over between surfaces.",
    "sled_too_few_loads": "Fewer than three loads on this surface within three weeks.",
    "sled_no_free_run": "No unresisted run on this surface within three weeks.",
    "sled_not_slower": "The runs did not get slower with load, so no line can be drawn.",
    "sled_not_straight": "Load and speed do not lie on a line (R2 below 0.90); check the loads and the surface.",
    "sled_not_at_top_speed": "The unresisted run was still getting faster at its last gate: its top speed is low, so "
    "true loads are lighter.",
    "sled_beyond_tested": "The load asked for lies beyond the heaviest one tested.",
    "sled_wide_interval": "The interval reaches below zero or beyond all bounds: test more loads.",
    # Race marks.
    "no_race_time": "No time, and the results do not say why.",
    "race_not_started": "Did not start.",
    "race_not_finished": "Did not finish.",
    "race_disqualified": "Disqualified: the race counts for no mark.",
    "mark_hand_timed": "Hand-timed: 0.24 s is added by convention for the points (0.14 s over 400 m); no correction.",
    "mark_timing_unknown": "How the time was taken is not recorded; no points and no correction.",
    "correction_100m_only": "The wind and altitude correction holds for the 100 m only.",
    "no_wind": "No wind reading, so no correction.",
    "altitude_not_stated": "The altitude is not recorded; the correction reckons with sea level.",
    "wind_beyond_correction": "Wind beyond 5 m/s: the correction is not made for it.",
    "sex_unknown": "Sex is not recorded, so the points table cannot be chosen.",
    "no_points_table": "No points table for this event.",
    "wind_above_limit": "Tailwind above 2.0 m/s: not valid for records.",
    "reaction_below_limit": "Reaction below 0.100 s: a false start under the rules.",
    "reaction_slow": "Reaction above 0.250 s: unusually slow, check the entry.",
}
