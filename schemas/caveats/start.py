"""Caveats of the area: start."""

CAVEATS: dict[str, str] = {
    "no_frame_rate": "The frame rate of the video is not known, so the error of the step times is not known either.",
    "no_step_time": "Contact or flight of this step was not marked.",
    "no_next_step": "The next step was not marked, so the distance run during this one is not known.",
    "no_steps": "No steps were marked off for this run.",
    "few_steps": "Fewer than three steps were marked with their contacts.",
    "no_fourth_touchdown": "The fourth touchdown was not marked, so the speed after the third step is not known.",
    "few_steps_for_fit": "Fewer than six steps were marked, too few for a curve over the steps.",
    "step_fit_not_identified": "The steps do not settle on a curve; no constant is given.",
    "steps_end_before_10m": "The steps marked do not reach 10 m from the start line.",
    "best_frequency_seen_early": "The highest step frequency on record was seen before 20 m, so the true best may be "
    "higher and the share at 10 m lower.",
    "change_not_possible": "The change would leave no contact or flight, or bring the runner to a stop.",
    "rhythm_resisted": "Resisted runs are not held against the step frequency of free ones.",
}
