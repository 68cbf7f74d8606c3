"""Every printed code accounted for: unbound, bound, void; printed again; voided for good."""

from typing import Any

import pytest

from labels import make_code
from tests.server.labels_farm import A4_24, again, choose_host, order, push, stock
from tests.server.server_farm import Farm
from tests.server.test_labels_routes import minted, read_all
from tests.sync.phone import NOW, Phone

ADDRESS = "HTTPS://LABELS.EXAMPLE/Q/"


@pytest.fixture
def farm(signed_in: Farm) -> Farm:
    choose_host(signed_in)
    return signed_in


def tally(farm: Farm, batch: str) -> dict[str, int]:
    [found] = [
        p for p in farm.client.get("/api/labels/prints").json()["prints"] if p["id"] == batch
    ]
    return {name: found[name] for name in ("count", "unbound", "bound", "void", "odd")}


def codes(farm: Farm, batch: str) -> dict[str, Any]:
    found = farm.client.get(f"/api/labels/prints/{batch}").json()["codes"]
    return {one["code"]: one for one in found}


def void(farm: Farm, **body: Any) -> Any:
    return farm.client.post("/api/labels/void", json={"why": "misprinted", **body})


def read_codes(pdf: bytes) -> list[str]:
    return sorted(text.removeprefix(ADDRESS) for text in read_all(pdf))


def test_codes_are_ordered_first_and_printed_then(farm: Farm):
    made = order(farm, 5, size_mm=20)
    assert minted(farm) == set(made["codes"])
    for _ in range(2):
        answer = again(farm, made["id"], start=23)
        assert answer.status_code == 200, answer.text
        assert read_codes(answer.content) == sorted(made["codes"])
    assert minted(farm) == set(made["codes"])
    [found] = farm.client.get("/api/labels/prints").json()["prints"]
    assert (found["sheet"], found["size_mm"], found["staff"]) == (
        A4_24, 20, farm.client.get("/api/me").json()["staff"]["id"],
    )  # fmt: skip
    assert list(codes(farm, made["id"])) == made["codes"]


def test_bound_follows_from_records_and_not_from_a_column(farm: Farm):
    made, phone = order(farm, 5), Phone("x")
    records, colony = stock(phone)
    piece, tray, tank, spare, free = made["codes"]
    binds = [
        phone.make("bind", ("piece", colony), {"code": piece}),
        phone.make("bind", ("tray", "tray.a1"), {"code": tray}),
        phone.make("bind", ("tank", "tank.one"), {"code": tank}),
        phone.make("bind", ("piece", colony), {"code": spare}),
    ]
    assert set(push(farm, phone, [*records, *binds])) == {"stored"}
    assert tally(farm, made["id"]) == {"count": 5, "unbound": 1, "bound": 4, "void": 0, "odd": 0}
    found = codes(farm, made["id"])
    assert {code: one["holder"] for code, one in found.items()} == {
        piece: {"kind": "piece", "id": colony}, spare: {"kind": "piece", "id": colony},
        tray: {"kind": "tray", "id": "tray.a1"}, tank: {"kind": "tank", "id": "tank.one"},
        free: None,
    }  # fmt: skip
    back = [
        phone.make("retract", ("record", bind["id"]), {"why": "wrong"})
        for bind in (binds[1], binds[3])
    ]
    assert set(push(farm, phone, back)) == {"stored"}
    assert tally(farm, made["id"]) == {"count": 5, "unbound": 3, "bound": 2, "void": 0, "odd": 0}


def test_a_jammed_sheet_is_printed_again_without_new_codes(farm: Farm):
    made, phone = order(farm, 4), Phone("x")
    records, colony = stock(phone)
    on, wasted, *free = made["codes"]
    push(farm, phone, [*records, phone.make("bind", ("piece", colony), {"code": on})])
    assert void(farm, codes=[wasted]).json()["voided"] == 1
    assert read_codes(again(farm, made["id"]).content) == sorted(free)
    standing = again(farm, made["id"], which="standing")
    assert read_codes(standing.content) == sorted([on, *free])
    assert read_codes(again(farm, made["id"], which="standing", only=[on, wasted]).content) == [on]
    assert minted(farm) == set(made["codes"])


def test_a_print_of_which_nothing_is_left_says_so(farm: Farm):
    made = order(farm, 2)
    void(farm, print=made["id"])
    answer = again(farm, made["id"])
    assert (answer.status_code, answer.json()["code"]) == (422, "unprintable")
    assert "no label is left to be printed" in answer.json()["detail"]


def test_a_misprinted_batch_is_void_with_who_when_and_why(farm: Farm):
    made, phone = order(farm, 3), Phone("x")
    records, colony = stock(phone)
    push(farm, phone, [*records, phone.make("bind", ("piece", colony), {"code": made["codes"][0]})])
    first = void(farm, print=made["id"], why="printer jammed")
    assert first.json() == {"voided": 2, "bound": 1, "already": 0, "unknown": 0}
    assert void(farm, print=made["id"]).json() == {
        "voided": 0, "bound": 1, "already": 2, "unknown": 0,
    }  # fmt: skip
    assert tally(farm, made["id"]) == {"count": 3, "unbound": 0, "bound": 1, "void": 2, "odd": 0}
    found = codes(farm, made["id"])[made["codes"][1]]["void"]
    me = farm.client.get("/api/me").json()["staff"]["id"]
    assert (found["staff"], found["why"]) == (me, "printer jammed")
    assert found["at"] > 1_700_000_000_000


def test_a_void_code_that_is_bound_offline_is_taken_and_flagged(farm: Farm):
    made, phone = order(farm, 2), Phone("x")
    records, colony = stock(phone)
    void(farm, codes=made["codes"])
    bind = phone.make("bind", ("piece", colony), {"code": made["codes"][0]})
    assert set(push(farm, phone, [*records, bind])) == {"stored"}
    assert tally(farm, made["id"]) == {"count": 2, "unbound": 0, "bound": 1, "void": 1, "odd": 1}
    tray = phone.make("bind", ("tray", "tray.a1"), {"code": made["codes"][1]})
    assert push(farm, phone, [tray]) == ["stored"]
    assert tally(farm, made["id"]) == {"count": 2, "unbound": 0, "bound": 2, "void": 0, "odd": 2}


def test_phones_fetch_what_is_void_and_then_only_what_is_new(farm: Farm):
    made = order(farm, 6)
    void(farm, codes=made["codes"][:2])
    first = farm.client.get("/api/labels/void").json()
    assert sorted(first["codes"]) == sorted(made["codes"][:2])
    void(farm, codes=made["codes"][2:3])
    then = farm.client.get(f"/api/labels/void?after={first['last']}").json()
    assert (then["codes"], then["more"], then["epoch"]) == (
        made["codes"][2:3], False, first["epoch"],
    )  # fmt: skip
    farm.sql("UPDATE staff SET role = 'keeper'")
    assert farm.client.get("/api/labels/void").status_code == 200


def test_what_was_not_issued_here_is_no_void(farm: Farm):
    assert void(farm, codes=[make_code()]).json()["unknown"] == 1
    for answer in (void(farm, print="none"), again(farm, "none"),
                   farm.client.get("/api/labels/prints/none")):  # fmt: skip
        assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


def test_codes_minted_before_prints_were_noted_are_accounted_for(farm: Farm):
    code = make_code()
    farm.sql(
        "INSERT INTO label_code (code, minted_at, batch, staff) VALUES (?, 5, 'old', 'x')", code
    )
    order(farm, 1)
    listed = farm.client.get("/api/labels/prints").json()["prints"]
    assert [(one["at"], one["sheet"]) for one in listed][1] == (5, None)
    assert read_codes(again(farm, "old").content) == [code]
    older = farm.client.get("/api/labels/prints?before=6").json()
    assert ([one["id"] for one in older["prints"]], older["more"]) == (["old"], False)


def test_words_go_with_their_codes_also_when_printed_again(farm: Farm):
    made = order(farm, 2, words="name", said=["Tray north", "Tray south"])
    found = codes(farm, made["id"])
    assert [found[code]["said"] for code in made["codes"]] == ["Tray north", "Tray south"]
    for _ in range(2):
        pdf = again(farm, made["id"], geometry="a4-99.1x67.7").content
        assert read_codes(pdf) == sorted(made["codes"])
        assert b"%PDF" in pdf[:8]


@pytest.mark.parametrize("more", [{"words": "name"}, {"words": "caption", "said": ["a"]},
                                  {"said": ["a", "b"]}])  # fmt: skip
def test_words_must_be_as_many_as_labels(farm: Farm, more: dict[str, Any]):
    body = {"geometry": A4_24, "count": 2} | more
    answer = farm.client.post("/api/labels/prints", json=body)
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-body")
    assert minted(farm) == set()


@pytest.mark.parametrize("tray_first", [True, False])
def test_a_code_on_a_tray_and_on_a_piece_is_the_pieces_as_a_scan_of_it_says(
    farm: Farm, tray_first: bool
):
    """Two phones without a network; the phone that reads the label opens the piece as well."""
    made, phone = order(farm, 1), Phone("x")
    records, colony = stock(phone)
    [code] = made["codes"]
    early, late = NOW - 2000, NOW - 1000
    at = (early, late) if tray_first else (late, early)
    on_tray = phone.make("bind", ("tray", "tray.a1"), {"code": code}, at[0])
    on_piece = phone.make("bind", ("piece", colony), {"code": code}, at[1])
    both = [on_tray, on_piece] if tray_first else [on_piece, on_tray]
    assert set(push(farm, phone, [*records, *both])) == {"stored"}
    assert codes(farm, made["id"])[code]["holder"] == {"kind": "piece", "id": colony}
    assert tally(farm, made["id"]) == {"count": 1, "unbound": 0, "bound": 1, "void": 0, "odd": 0}
    back = phone.make("retract", ("record", on_piece["id"]), {"why": "wrong"})
    push(farm, phone, [back])
    assert codes(farm, made["id"])[code]["holder"] == {"kind": "tray", "id": "tray.a1"}
