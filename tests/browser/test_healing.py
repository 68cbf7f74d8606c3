"""The Healing screens on a farm with enough behind it: each number, and the way to its pieces."""

import re
from collections.abc import Iterator
from math import floor
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.farm import Farm, Served
from tests.browser.healed import PIECES, healed
from tests.browser.measuring import Measured
from tests.browser.walk_state import at

PAGE = 200
"""Pieces behind a number that come at once."""


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    server = Served(tmp_path_factory.mktemp("farm"), healed)
    yield server.start()
    server.stop()


@pytest.fixture(scope="module")
def desk(browser: Browser, farm: Farm) -> Iterator[Page]:
    """The lead's phone; what is put in to measure it needs the app's own policy out of its way."""
    page = browser.new_context(
        viewport={"width": 390, "height": 844}, bypass_csp=True, reduced_motion="reduce"
    ).new_page()
    page.goto(farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    yield page
    page.context.close()


@pytest.fixture
def main(desk: Page) -> Locator:
    return desk.locator("main")


def said(desk: Page, farm: Farm, path: str) -> Any:
    """What the server answers to the same phone."""
    answer = desk.context.request.get(f"{farm.base}/api/healing{path}")
    assert answer.ok, answer.text()
    return answer.json()


def whole(text: str) -> re.Pattern[str]:
    """As it is, wherever lines break; the screen keeps numbers and their signs together."""
    return re.compile(r"\s+".join(map(re.escape, text.split())), re.IGNORECASE)


def table(scope: Locator) -> list[list[str]]:
    rows: list[list[str]] = scope.evaluate(
        "(of) => [...of.rows].map((row) => [...row.cells].map((cell) => cell.innerText.trim()))"
    )
    return rows


def of_a_hundred(diff: dict[str, float]) -> str:
    """'17 more', '19 to 21 fewer': halves rounded upwards."""
    low, high = (floor(diff[end] + 0.5) for end in ("least", "most"))
    word = "fewer" if high < 0 else "more"
    if low == high:
        return f"{abs(low)} {word}" if low else "as many"
    assert low * high > 0, "both on one side of nothing: choose another farm"
    return f"{min(abs(low), abs(high))} to {max(abs(low), abs(high))} {word}"


def wrong(desk: Page, name: str) -> dict[str, list[str]]:
    return Measured(desk).state(at(None, name))


def test_each_number_leads_to_as_many_pieces(desk: Page, farm: Farm, main: Locator) -> None:
    desk.goto(f"{farm.base}/healing")
    report = said(desk, farm, "?by=method&endpoint=sale")
    saw, tile = report["groups"]
    for group in (report["all"], saw, tile):
        expect(main.get_by_text(whole(group["sentence"])).first).to_be_visible()
        assert (group["show"], group["pieces"]) == (
            "full",
            PIECES if group["key"] == "all" else 108,
        )
    for group in (saw, tile):
        drawn = main.get_by_role(
            "img", name=whole(f"Curve of {group['name']}. {group['sentence']}")
        )
        expect(drawn.locator("path.band")).to_have_count(1)
    main.locator("summary", has_text="The curve in numbers").first.click()
    numbers = table(main.get_by_role("table", name=f"The curve of {saw['name']} in numbers"))
    assert numbers[0] == ["Day", "Ready", "95 %", "Lost"]
    # Each day on which something changes, and of the last what the server gave.
    assert {point["day"] for point in saw["curve"]} <= {int(row[0]) for row in numbers[1:]}
    last = saw["curve"][-1]
    assert numbers[-1][3].endswith(f"{round(100 * last['lost_high'])}\u00a0%")
    main.locator("summary", has_text="How it is worked out").click()
    assert wrong(desk, "healing") == {}
    for of, word in (("lost", "Lost"), ("ready", "Ready"), ("healing", "Healing")):
        desk.goto(f"{farm.base}/healing")
        main.get_by_role("link", name=f"{saw[of]} {word}, {saw['name']}: see the pieces").click()
        expect(main.get_by_text(f"{saw[of]} pieces", exact=True)).to_be_visible()
        expect(main.get_by_role("heading", name=f"{word}: {saw['name']}")).to_be_visible()
        expect(main.locator("li")).to_have_count(saw[of])


def test_pieces_come_page_by_page(desk: Page, farm: Farm, main: Locator) -> None:
    desk.goto(f"{farm.base}/healing/pieces")
    expect(main.get_by_text(f"{PAGE} of {PIECES} shown")).to_be_visible()
    expect(main.locator("li")).to_have_count(PAGE)
    main.get_by_role("button", name="Show more pieces").click()
    expect(main.locator("li")).to_have_count(PIECES)
    expect(main.get_by_role("button", name="Show more pieces")).to_have_count(0)
    links = main.locator("li a").evaluate_all("(all) => all.map((one) => one.href)")
    assert len(set(links)) == PIECES


def test_what_it_is_narrowed_to_stands_in_the_address(
    desk: Page, farm: Farm, main: Locator
) -> None:
    desk.goto(f"{farm.base}/healing")
    main.locator("summary", has_text="Narrow it").click()
    main.get_by_role("combobox", name="Narrow by").select_option(label="Base")
    main.get_by_role("combobox", name="Only").select_option(label="Disc 30 mm (72)")
    expect(main.get_by_text("Only Base: Disc 30 mm.")).to_be_visible()
    assert desk.url.endswith("/healing?only=base%3Abase.disc")
    desk.reload()
    main.get_by_role("link", name="72 Pieces, All pieces: see the pieces").click()
    expect(main.get_by_text("72 pieces", exact=True)).to_be_visible()
    expect(main.get_by_text("Only Base: Disc 30 mm.")).to_be_visible()
    desk.go_back()
    main.get_by_role("button", name="Take off: Base: Disc 30 mm").click()
    expect(main.get_by_text("Only Base")).to_have_count(0)
    assert desk.url == f"{farm.base}/healing"


def test_pairs_are_shown_as_they_were_and_like_with_like(
    desk: Page, farm: Farm, main: Locator
) -> None:
    desk.goto(f"{farm.base}/healing")
    main.get_by_role("link", name="Side by side").click()
    [pair] = said(desk, farm, "/comparison?by=method&endpoint=sale")["pairs"]
    title = f"{pair['one_name']} beside {pair['other_name']}"
    part = main.get_by_role("region", name=title)
    expect(part.get_by_text(whole(pair["sentence"].removeprefix(f"{title}: ")))).to_be_visible()
    day, both = pair["crude"]["at_day"], ["As it was", "Like with like"]
    assert part.locator("figcaption").all_inner_texts() == [
        "Days until half are ready",
        f"Ready by day {day}, of a hundred",
        f"Lost by day {day}, of a hundred",
    ]
    lines = part.locator("figure p").all_inner_texts()
    assert [line.split(":")[0] for line in lines] == both * 3
    part.locator("summary", has_text="The differences in a table").click()
    part.locator("summary", has_text="The arithmetic").click()
    rows = table(part.get_by_role("table"))
    assert (rows[0][1:], len(rows)) == (both, 4)
    assert [cell.split(" (95 %: ")[0] for cell in rows[2][1:]] == [
        of_a_hundred(pair[reading]["ready"]) for reading in ("crude", "adjusted")
    ]
    assert wrong(desk, "side by side") == {}


def test_a_trial_sets_arms_against_each_other_within_each_mother(
    desk: Page, farm: Farm, main: Locator
) -> None:
    desk.goto(f"{farm.base}/trial/trial.mouths")
    main.get_by_role("button", name="Fetch it now").click()
    [pair] = said(desk, farm, "/comparison?trial=trial.mouths&endpoint=sale")["pairs"]
    part = main.get_by_role("region", name=f"{pair['one_name']} beside {pair['other_name']}")
    assert pair["drawn"].startswith("Within each mother, as it was drawn: ")
    for words in (pair["drawn"], pair["sentence"]):
        expect(part.get_by_text(whole(words))).to_be_visible()
    assert [one.split(",")[0] for one in part.locator("figcaption").all_inner_texts()] == [
        "Mean day of those that got ready",
        f"Ready by day {pair['within']['at_day']}",
        f"Lost by day {pair['within']['at_day']}",
    ]
    assert wrong(desk, "trial") == {}
    main.get_by_role("link", name="Side by side, with the arithmetic").click()
    limits = re.compile(r"^Within each cut, as drawn: \d+ days .+ \(95\s%: .+\)$")
    expect(main.get_by_text(limits)).to_be_visible()


def test_the_cut_that_lost_most_stands_out(desk: Page, farm: Farm, main: Locator) -> None:
    desk.goto(f"{farm.base}/healing/warnings")
    loud = [one for one in said(desk, farm, "/warnings")["units"] if one["level"] != "as-usual"]
    expect(main.get_by_text(re.compile("^(Act|Look):"))).to_have_count(len(loud))
    worst = loud[0]
    assert (worst["kind"], worst["level"], worst["pieces"]) == ("cut", "act", 18)
    first = main.locator("li").first
    expect(first).to_contain_text(f"{worst['lost']} of 18 pieces lost")
    assert wrong(desk, "losses that stand out") == {}
    first.get_by_role("link", name="Open the cut").click()
    desk.wait_for_url(f"**/cut/{worst['key']}")


def test_what_is_likely_ready_week_by_week_and_piece_by_piece(
    desk: Page, farm: Farm, main: Locator
) -> None:
    desk.goto(f"{farm.base}/healing/likely")
    answer = said(desk, farm, "/likely?endpoint=sale")
    soon = round(sum(week["mean"] for week in answer["weeks"][:4]))
    expect(
        main.get_by_text(f"About {soon} pieces get ready in the next four weeks.")
    ).to_be_visible()
    main.locator("summary", has_text="The weeks in numbers").click()
    rows = table(main.get_by_role("table"))[1:]
    assert [row[1:] for row in rows] == [
        [f"{week['mean']:.1f}".removesuffix(".0"), f"{week['low']} to {week['high']}"]
        for week in answer["weeks"]
    ]
    expect(main.get_by_text(f"{len(answer['pieces'])} pieces", exact=True)).to_be_visible()
    expect(main.locator("section", has_text="Piece by piece").locator("li")).to_have_count(
        min(48, len(answer["pieces"]))
    )
    assert wrong(desk, "likely ready") == {}
    [dated, *_] = [one for one in answer["pieces"] if not one["outside"]]
    desk.goto(f"{farm.base}/piece/{dated['id']}")
    expect(
        main.get_by_text(re.compile(r"^Likely ready .*From how pieces like it did"))
    ).to_be_visible()


def test_it_is_taken_along_as_files_and_read_without_a_network(
    desk: Page, farm: Farm, main: Locator
) -> None:
    desk.goto(f"{farm.base}/healing")
    with desk.expect_download() as numbers:
        main.get_by_role("button", name="Save the numbers").click()
    lines = numbers.value.path().read_text("utf-8").splitlines()
    assert [line.split(",")[:2] for line in lines] == [
        ["group", "pieces"], ["Band saw", "108"], ["Tile saw", "108"], ["All pieces", str(PIECES)],
    ]  # fmt: skip
    with desk.expect_download() as pieces:
        main.get_by_role("button", name="Save the pieces").click()
    rows = pieces.value.path().read_text("utf-8").splitlines()
    assert rows[0].split(",")[:3] == ["left", "right", "outcome"]
    assert len(rows) == 1 + PIECES
    desk.context.set_offline(True)
    main.get_by_role("button", name="Work it out again").click()
    expect(
        main.get_by_text("The server did not answer. This is what it last said.")
    ).to_be_visible()
    expect(main.get_by_text("as of")).to_be_visible()
    expect(main.get_by_role("img", name="Curve of Band saw")).to_be_visible()
    desk.context.set_offline(False)
