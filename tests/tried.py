"""What was tried as a hostile visitor, athlete, guardian and assistant, and which tests try it again.

``python -m tests.tried`` runs them and prints the table; it ends with 1 where something no longer holds. A line whose
tests were skipped says so and counts as not tried.
"""

import sys
import xml.etree.ElementTree as ET
from collections.abc import Mapping
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

ROOT = Path(__file__).parents[1]
GATE, LIMITS, SECOND = "tests/access/test_gate.py", "tests/access/test_limits.py", "tests/access/test_second_factor.py"
RIGHTS, GROUPS, HOSTILE = "tests/flow/test_rights.py", "tests/flow/test_past_groups.py", "tests/browser/test_hostile.py"
FLOODS, REST, CHAIN = "tests/readers/test_hostile_files.py", "tests/flow/test_at_rest.py", "tests/flow/test_chain.py"
ASKED = "tests/access/test_second_asked.py"
LINES, SOCKETS, TABS = "tests/access/test_lines.py", "tests/access/test_sockets.py", "tests/browser/test_open_tabs.py"
AFTER, USE = "tests/flow/test_after_erasure.py", "tests/flow/test_limits_of_use.py"

TRIED: Mapping[str, tuple[str, ...]] = {
    # reading
    "pages, media and health of the framework without a sign-in": (f"{GATE}::test_a_stranger_gets_nothing",),
    "the websocket without a sign-in": (f"{GATE}::test_a_stranger_s_websocket_is_closed",),
    "every address as an athlete, looking for others": (
        f"{HOSTILE}::test_an_athlete_finds_nobody_else_behind_any_address",
        f"{HOSTILE}::test_an_athlete_s_forged_websocket_messages_show_nobody_else",
    ),
    "every page as staff, looking for other groups": (f"{HOSTILE}::test_staff_find_nobody_of_another_group",),
    "injury detail as staff without the grant": (f"{HOSTILE}::test_staff_without_the_grant_read_no_injury_in_words",),
    "names of other groups in reasons, loads, answers, files, PDFs and errors": (
        f"{GROUPS}::test_no_file_that_is_tried_tells_a_name_of_another_group",
        f"{GROUPS}::test_no_table_of_the_board_holds_the_name_for_a_member_of_another_group",
        f"{GROUPS}::test_answers_of_others_are_neither_listed_for_staff_nor_theirs_to_forget",
    ),
    "another person's link, and guessed and traversing file addresses": (
        f"{HOSTILE}::test_one_person_s_data_are_handed_to_the_one_who_asked_and_nobody_else",
        f"{HOSTILE}::test_a_guessed_file_address_gives_no_file_of_the_home",
        f"{GATE}::test_the_framework_s_own_download_addresses_are_shut",
    ),
    "a link made before an erasure": (f"{AFTER}::test_a_link_made_before_an_erasure_dies_with_it",),
    # sign-in
    "forged and stolen viewer headers": (
        f"{GATE}::test_a_header_the_browser_sends_is_taken_off",
        f"{GATE}::test_a_header_with_a_wrong_signature_is_nobody",
        f"{HOSTILE}::test_a_forged_viewer_header_changes_nothing",
    ),
    "forged, copied and replayed cookies, and another one's session": (
        f"{HOSTILE}::test_a_forged_cookie_opens_nothing", f"{HOSTILE}::test_what_is_kept_of_a_sign_in_does_not_sign_in",
        f"{HOSTILE}::test_a_replayed_cookie_is_worth_nothing_after_sign_out",
        f"{HOSTILE}::test_another_one_s_session_is_not_resumed",
    ),
    "guessing one name, many names, from many places": (
        f"{LIMITS}::test_guesses_for_one_name_from_one_place_end_before_they_are_looked_at",
        f"{LIMITS}::test_many_names_from_one_place_end_too_and_one_household_is_one_place",
    ),
    "locking the owner out by guessing": (
        f"{LIMITS}::test_the_owner_comes_in_from_elsewhere_while_a_stranger_guesses",
        f"{LIMITS}::test_a_browser_that_signed_in_once_is_let_in_while_others_guess",
    ),
    "sixty guesses at once": (
        f"{LIMITS}::test_sixty_guesses_at_once_are_counted_like_sixty_in_a_row",
        f"{LIMITS}::test_at_most_two_pass_phrases_are_looked_at_together",
    ),
    "learning which names exist, by the answer or by its time": (
        f"{LIMITS}::test_a_name_that_nobody_has_is_answered_alike",
        f"{LIMITS}::test_a_name_that_nobody_has_costs_the_same_writes_and_is_not_written_down",
    ),
    "guessed, spent and forged invitations": (
        f"{GATE}::test_a_guessed_invitation_says_nothing_of_anybody",
        f"{GATE}::test_an_invitation_form_from_elsewhere_is_refused",
    ),
    "a pass-phrase without the second factor, a code twice, guessed codes": (
        f"{SECOND}::test_a_pass_phrase_alone_signs_nobody_in",
        f"{SECOND}::test_a_code_works_once_and_only_around_its_time",
        f"{SECOND}::test_codes_are_counted_before_they_are_looked_at_and_the_phrase_is_asked_again",
        f"{SECOND}::test_an_invitation_does_not_go_round_the_second_factor",
    ),
    "every address with a pass-phrase where a second factor is asked and none is set up": (
        f"{ASKED}::test_who_owes_one_finds_nothing_open_but_setting_it_up",
        f"{ASKED}::test_a_page_that_is_open_already_shows_nobody_from_the_next_click_on",
        f"{ASKED}::test_a_lost_phone_and_lost_codes_end_in_setting_it_up_again_not_in_a_closed_door",
    ),
    "a copy of the file of accounts, a backup without a phrase: secrets of second factors": (
        f"{ASKED}::test_the_file_of_accounts_alone_tells_no_secret",
        f"{ASKED}::test_a_secret_opens_for_its_own_account_and_with_its_own_key_alone",
        f"{ASKED}::test_the_key_goes_with_a_sealed_backup_alone_and_a_restore_says_what_is_missing",
    ),
    "an open laptop: idle, erasing, exporting, letting people in": (
        f"{SECOND}::test_a_sign_in_that_is_left_idle_ends",
        f"{SECOND}::test_what_cannot_be_undone_asks_for_the_pass_phrase_again",
        "tests/dashboard/test_people.py::test_what_cannot_be_undone_is_refused_until_the_pass_phrase_is_given_again",
    ),
    "pass-phrases everybody uses": (
        f"{SECOND}::test_a_phrase_is_refused_with_its_length_or_as_one_that_is_guessed",
    ),
    # other pages of the same machine
    "a page on another port, of another site, or of no site": (
        f"{GATE}::test_only_a_page_of_this_very_address_opens_a_websocket_or_changes_anything",
        f"{HOSTILE}::test_a_page_of_another_site_opens_no_websocket",
    ),
    "a request smuggled behind another": (
        f"{GATE}::test_a_request_that_says_its_length_in_two_ways_is_refused_and_the_line_closed",
    ),
    "a name that leads here (rebinding)": (f"{GATE}::test_no_route_answers_to_a_name_that_is_not_ours",),
    "signing out by a link, a form of another sign-in, a planted form token": (
        f"{GATE}::test_a_link_does_not_sign_out_and_a_form_is_of_one_sign_in",
        f"{GATE}::test_a_form_token_put_into_the_browser_by_another_page_is_worth_nothing",
    ),
    "two homes on one machine": (f"{GATE}::test_two_homes_on_one_machine_never_share_a_sign_in",),
    "markup in what is typed, scripts in our pages": (
        f"{GATE}::test_what_is_typed_comes_back_escaped",
        f"{GATE}::test_a_plain_page_runs_and_wears_only_what_it_was_made_with",
    ),
    # lines and tabs left open
    "a head, a body or a reading that never ends or comes a byte at a time": (
        f"{LINES}::test_a_head_that_never_comes_to_its_end_is_not_waited_for",
        f"{LINES}::test_a_second_head_on_the_same_line_is_not_waited_for_either",
        f"{LINES}::test_a_body_that_never_comes_to_its_end_is_not_waited_for",
        f"{LINES}::test_a_body_that_comes_behind_the_answer_is_not_waited_for",
        f"{LINES}::test_who_reads_nothing_of_what_is_sent_is_not_waited_for",
        f"{LINES}::test_an_encrypted_line_that_never_says_hello_is_ended",
    ),
    "cutting off a slow phone and an idle page by those limits": (
        f"{LINES}::test_a_body_of_a_slow_phone_is_waited_for_as_long_as_it_comes",
        f"{LINES}::test_who_reads_slowly_gets_all_of_it",
        f"{LINES}::test_whoever_is_signed_in_and_reads_makes_no_room_for_strangers",
        f"{SOCKETS}::test_an_idle_page_and_one_that_was_open_before_stay_open",
    ),
    "five hundred lines that say nothing, many of one address": (
        f"{LINES}::test_a_page_comes_beside_five_hundred_who_say_nothing",
        f"{LINES}::test_lines_of_one_address_make_room_for_each_other_first",
        f"{TABS}::test_the_coach_gets_a_page_beside_five_hundred_lines_that_say_nothing",
    ),
    "websockets on which nothing is asked, many of one person, text, one whose sign-in has ended": (
        f"{SOCKETS}::test_a_websocket_on_which_no_page_is_asked_for_is_closed",
        f"{SOCKETS}::test_one_person_holds_so_many_websockets_and_others_are_not_kept_from_theirs",
        f"{SOCKETS}::test_one_person_asks_so_much_at_once",
        f"{SOCKETS}::test_text_on_a_page_s_websocket_closes_it_and_logs_no_fault",
        f"{SOCKETS}::test_a_quiet_page_is_closed_once_its_sign_in_has_ended",
    ),
    "a tab left open after a sign-out, a closed account, groups taken away: parts that are drawn alone": (
        f"{TABS}::test_a_part_of_an_open_page_shows_nobody_once_the_one_it_was_drawn_for_is_not_looking",
    ),
    "turning pages without end, so that others' files can no longer be fetched": (
        "tests/dashboard/test_sheets.py::"
        "test_somebody_who_turns_pages_without_end_takes_no_link_of_anybody_else_away",
    ),
    # writing
    "as staff by file, row, mend, inbox and command: consent, birth dates, decisions, signatures, families": (
        f"{RIGHTS}::test_staff_bring_none_of_this_by_any_way", f"{RIGHTS}::test_a_mended_row_is_asked_like_any_other",
        f"{RIGHTS}::test_undo_and_redo_are_asked_of_who_and_of_what",
    ),
    "names of others under decisions and signatures": (
        f"{RIGHTS}::test_names_of_others_read_as_claimed_and_own_names_as_they_are",
    ),
    "a second athlete of the same name": (f"{RIGHTS}::test_a_new_name_in_any_file_of_staff_makes_nobody",),
    "as an athlete: anything but the own check-in": (
        f"{RIGHTS}::test_an_athlete_types_the_own_check_in_and_nothing_else",
    ),
    "as an athlete: saving without end": (
        f"{USE}::test_one_person_does_so_much_in_a_while_and_others_are_not_kept_from_it",
    ),
    # files
    "tiny workbooks with repeats and merges, lines and spaces without end": (
        f"{FLOODS}::test_a_flood_is_refused_in_a_sentence_quickly_and_in_little_memory",
        f"{FLOODS}::test_a_reading_holds_no_more_memory_than_it_may",
    ),
    "many uploads, uploads of athletes, uploads without a token": (
        f"{GATE}::test_files_are_sent_by_coaches_and_so_many_in_a_while",
        f"{HOSTILE}::test_an_upload_without_the_page_s_own_token_is_refused",
    ),
    "files sent to open pages and left in their memory": (
        f"{GATE}::test_the_files_that_one_person_s_open_pages_hold_have_an_end",
    ),
    "an archive that unpacks to a flood, and one of many files that each take long": (
        "tests/flow/test_files_out_and_in.py::test_an_archive_that_is_sent_is_not_unpacked_to_a_flood",
        "tests/flow/test_files_out_and_in.py::"
        "test_files_that_are_sent_together_take_no_more_time_than_others_can_wait",
    ),
    "forty sheets, forty pass-phrases asked again, twenty pages at once of one person": (
        f"{SOCKETS}::test_files_of_one_person_are_made_few_at_once_and_keep_no_sign_in_waiting",
        f"{SOCKETS}::test_somebody_who_asks_for_many_pages_at_once_keeps_nobody_else_waiting",
        f"{LIMITS}::test_a_pass_phrase_that_is_asked_again_is_looked_at_one_at_a_time",
    ),
    "links in a watched folder that lead out of it": (
        "tests/flow/test_files_out_and_in.py::"
        "test_a_link_that_leads_out_of_a_folder_is_not_read_for_whoever_put_it_there",
    ),
    "files whose cells would run": (f"{HOSTILE}::test_a_hostile_file_runs_nothing_and_stores_nothing_by_itself",),
    # at rest
    "another user of the machine": (
        f"{REST}::test_a_home_made_beforehand_is_closed_to_others",
        f"{REST}::test_what_a_command_writes_is_its_owner_s_alone",
    ),
    "a found backup, a changed one, one that brings accounts or floods the disk": (
        f"{REST}::test_a_sealed_backup_shows_nothing_and_opens_with_its_phrase_alone",
        f"{REST}::test_a_backup_changed_after_it_was_signed_is_refused",
        f"{REST}::test_accounts_and_a_club_s_sign_in_are_told_before_they_are_taken",
        f"{REST}::test_an_entry_larger_than_it_says_is_not_taken",
    ),
    "changing the log or the trail": (
        f"{CHAIN}::test_verify_names_the_first_event_that_does_not_follow",
        f"{CHAIN}::test_verify_names_the_first_line_of_the_trail_that_does_not_follow",
        f"{CHAIN}::test_a_head_kept_elsewhere_shows_what_the_chain_alone_cannot",
    ),
    "a damaged kept source": (
        f"{GROUPS}::test_a_damaged_source_is_right_again_once_the_right_file_is_loaded",
        f"{GROUPS}::test_a_rebuild_drops_no_rows_unless_it_is_told_to",
    ),
    "a full disk, a home that may only be read": (
        f"{AFTER}::test_people_sign_out_and_read_on_where_the_disk_is_full",
        f"{AFTER}::test_commands_speak_in_sentences_on_a_full_or_read_only_home",
    ),
    "settings typed by hand": (
        f"{USE}::test_whatever_is_typed_for_a_setting_is_taken_or_refused_in_a_sentence_that_names_it",
    ),
}  # fmt: skip


def results(told: Path) -> dict[str, set[str]]:
    """Return, for each test of a JUnit file, how it came out: held, did not hold, was skipped."""
    found: dict[str, set[str]] = {}
    for case in ET.parse(told).iter("testcase"):
        name = f"{case.get('classname', '').replace('.', '/')}.py::{case.get('name', '').split('[')[0]}"
        kinds = {child.tag for child in case}
        how = "did not hold" if kinds & {"failure", "error"} else "was skipped" if "skipped" in kinds else "held"
        found.setdefault(name, set()).add(how)
    return found


def verdict(nodes: tuple[str, ...], found: Mapping[str, set[str]]) -> str:
    """Return how a line of the table came out: as its worst test did."""
    hows = set().union(*(found.get(node, {"was not run"}) for node in nodes))
    return next(how for how in ("did not hold", "was not run", "was skipped", "held") if how in hows)


def main() -> int:
    """Run what the table names and print how each line came out."""
    with TemporaryDirectory() as folder:
        told = Path(folder) / "tried.xml"
        nodes = [node for nodes in TRIED.values() for node in nodes]
        pytest.main(["-q", "-p", "no:randomly", f"--rootdir={ROOT}", f"--junitxml={told}", *nodes])
        found = results(told)
    lines = {what: verdict(nodes, found) for what, nodes in TRIED.items()}
    for what, how in lines.items():
        print(f"{how:13}  {what}")
    return int(any(how != "held" for how in lines.values()))


if __name__ == "__main__":
    sys.exit(main())
