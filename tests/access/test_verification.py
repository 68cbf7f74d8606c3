"""OWASP ASVS 5.0.0: each point that applies is met by a named test, or the deviation is written.

Points and their numbers: OWASP Application Security Verification Standard 5.0.0; their wording here
is short and from memory. The test below only holds this table to the tests that it names.
"""

import ast
from pathlib import Path

import pytest

Function = ast.FunctionDef | ast.AsyncFunctionDef
TESTS = Path(__file__).parents[1]
MET = {
    "1.2.4 no injection into SQL": (
        "sync/test_odd_records.py",
        "test_what_one_database_would_choke_on_never_stops_its_neighbours",
    ),
    "2.2.1 input is checked against what is expected": (
        "records/test_breaches.py",
        "test_every_field_of_every_kind_is_checked",
    ),
    "2.2.2 checked on the server": (
        "server/test_bad_input.py",
        "test_numbers_are_read_strictly",
    ),
    "2.3.3 a write whole or not at all": (
        "records/test_database.py",
        "test_a_write_that_fails_leaves_nothing_and_the_next_one_works",
    ),
    "3.3.1-3.3.4 cookie: Secure, SameSite, __Host-, HttpOnly": (
        "server/test_access.py",
        "test_the_cookie_fits_the_address",
    ),
    "3.4.3, 3.4.4, 3.4.6 policy, no sniffing, no frames": (
        "server/test_headers.py",
        "test_every_answer_carries_them",
    ),
    "3.5.1-3.5.3 requests of other sites": (
        "server/test_origin.py",
        "test_a_strangers_page_cannot_sign_out",
    ),
    "5.2.1 files of bounded size": (
        "photos/test_routes.py",
        "test_a_part_has_at_most_256_kib",
    ),
    "5.2.2 files of the expected kind": (
        "photos/test_decode.py",
        "test_what_is_no_photo_is_refused_with_a_sentence",
    ),
    "5.2.6 pictures of bounded pixels": (
        "photos/test_decode.py",
        "test_a_bomb_is_refused_by_its_header_alone",
    ),
    "5.3.2 no path from a name that was sent": (
        "server/test_bad_input.py",
        "test_no_path_is_the_servers_fault_or_opens_a_file",
    ),
    "6.3.1 guessing is slowed": (
        "access/test_devices.py",
        "test_the_wrong_pin_is_counted_and_then_waits",
    ),
    "6.3.2 no usual accounts": (
        "server/test_access.py",
        "test_without_a_session_nobody_is_signed_in",
    ),
    "6.4.1 first codes are random and end": (
        "access/test_devices.py",
        "test_a_code_opens_one_phone_for_five_minutes",
    ),
    "6.5.1 codes are good once": (
        "server/test_access.py",
        "test_a_link_opens_one_device_only",
    ),
    "6.5.5 pairing codes end within ten minutes": (
        "access/test_devices.py",
        "test_a_code_opens_one_phone_for_five_minutes",
    ),
    "6.6.3 guessing codes is slowed": (
        "server/test_access.py",
        "test_guessing_links_is_slowed_down",
    ),
    "7.2.1-7.2.4 sessions: the server's, 256 bits, new each time": (
        "server/test_access.py",
        "test_a_new_claim_ends_the_devices_old_session",
    ),
    "7.3.1, 7.3.2 sessions end unused, and in all": (
        "server/test_access.py",
        "test_a_session_ends_by_itself",
    ),
    "7.4.1 signing out ends it": (
        "server/test_access.py",
        "test_leaving_ends_the_session_on_the_server",
    ),
    "7.4.2 a person revoked is out everywhere": (
        "access/test_staff.py",
        "test_who_was_revoked_is_out_at_once_and_may_come_back",
    ),
    "7.4.5 leads end a phone's session": (
        "access/test_devices.py",
        "test_a_phone_is_named_and_signed_out_for_good",
    ),
    "8.2.1, 8.3.1 every address has a rule, on the server": (
        "server/test_guard.py",
        "test_every_route_has_a_rule",
    ),
    "8.2.2 nobody records as somebody else": (
        "access/test_quarantine.py",
        "test_nobody_records_in_anothers_name",
    ),
    "11.4.2 secrets people choose are argon2id": (
        "access/test_secret.py",
        "test_what_is_stored",
    ),
    "12.1.1 TLS 1.2 or newer": (
        "https/test_old_tls.py",
        "test_old_tls_is_not_spoken",
    ),
    "14.2.1 secrets stand in no address": (
        "access/test_devices.py",
        "test_a_phone_of_ones_own",
    ),
    "14.3.2 answers are not cached": (
        "server/test_headers.py",
        "test_what_the_server_works_out_is_not_cached",
    ),
    "15.3.3 no field but those expected": (
        "records/test_breaches.py",
        "test_a_breach_is_refused_with_where_it_lies",
    ),
    "16.3.1 signing in is noted": (
        "access/test_staff.py",
        "test_the_audit_list_says_who_did_what",
    ),
    "16.3.2 refusals are logged": (
        "access/test_refusals_logged.py",
        "test_a_refusal_is_logged_with_its_device",
    ),
}
DEVIATIONS = {
    "1.2.10": "there is no CSV export yet",
    "3.4.1": "no HSTS: with the farm's own authority it would lock phones out for good",
    "6.2.1": "PINs are 4 to 8 digits, for wet gloves: on paired phones only, and five tries",
    "7.5.2": "a keeper ends the session of the phone in hand; other phones are a lead's affair",
    "12.2.1": "plain HTTP serves the app on the machine itself, elsewhere only if 'https' is off",
    "14.3.1": "signing out keeps unsent records on the phone: losing them would be worse",
}


@pytest.mark.parametrize("point", MET)
def test_the_named_test_is_there(point: str) -> None:
    file, name = MET[point]
    tree = ast.parse((TESTS / file).read_text("utf-8"))
    found = {node.name for node in ast.walk(tree) if isinstance(node, Function)}
    assert name in found
