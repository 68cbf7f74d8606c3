"""A table from elsewhere: published masses come out; what cannot be read is named by its line."""

import io
import json
import re
from pathlib import Path

import numpy as np
import pytest

from api.cli import main
from api.healing.errors import RowsError
from api.healing.estimate import ready_band, shown_of
from api.healing.incidence import fit_incidence
from api.healing.plain_answer import answer, answers
from api.healing.plain_table import ONE_GROUP, PlainGroup, PlainTable, read_table
from api.healing.rows import Cause, IntervalRows
from tests.reference.published_data import RADIATION, RADIATION_CHEMOTHERAPY, forty_pieces
from tests.reference.simulated import Farm, rows_of
from tests.reference.test_published_curves import COSMESIS

FIXTURE = Path(__file__).parents[2] / "fixtures/healing/breast-cosmesis.csv"
GROUPS = {"radiation": RADIATION, "radiation and chemotherapy": RADIATION_CHEMOTHERAPY}
HEAD = "left,right,outcome,seen_alive,cut,group,count\n"
WORDS = {Cause.READY: "ready", Cause.LOST: "lost", Cause.STILL: "healing"}


def cosmesis() -> str:
    """Months stand for days, each patient is a cut of her own, 'retracted' is 'ready'."""
    lines = []
    for group, text in GROUPS.items():
        for i, one in enumerate(text.split()):
            left, right = (one[:-1], "") if one.endswith("+") else one.split("-")
            lines.append(f"{left},{right},{'ready' if right else 'healing'},{i},{group}\n")
    return "left,right,outcome,cut,group\n" + "".join(lines)


def as_text(rows: IntervalRows) -> str:
    columns = (rows.left, rows.right, rows.cause, rows.cluster, rows.weight)
    lines = []
    for left, right, cause, cut, weight in zip(*(c.tolist() for c in columns), strict=True):
        ends = f",healing,{right}" if cause == Cause.STILL else f"{right},{WORDS[cause]},"
        lines.append(f"{left},{ends},cut {cut},a,{weight}\n")
    return HEAD + "".join(lines)


def read(text: str) -> PlainTable:
    return read_table(text.encode())


def columns(rows: IntervalRows) -> list[list[int]]:
    each = (rows.left, rows.right, rows.cause, rows.cluster, rows.weight)
    return [column.tolist() for column in each]


def test_published_masses_come_out_of_the_file(capsysbinary: pytest.CaptureFixture[bytes]):
    """Finkelstein & Wolfe 1985 in Fay & Shaw's copy (2010): R's interval 1.1-1.0, eight digits."""
    assert FIXTURE.read_text() == cosmesis()
    assert main(["estimate", str(FIXTURE)]) == 0
    found = json.loads(capsysbinary.readouterr().out)
    assert found["columns_not_used"] == []
    assert [one["group"] for one in found["groups"]] == list(GROUPS)
    for one, (text, masses, loglik, median) in zip(found["groups"], COSMESIS, strict=True):
        ready = {(left, right): mass for left, right, mass in one["ready_mass"]}
        assert ready == pytest.approx(masses, abs=6e-9)
        assert one["loglik"] == pytest.approx(loglik, abs=5e-7)
        assert (one["pieces"], one["cuts"]) == (len(text.split()),) * 2
        assert (one["lost_mass"], one["lost_total"], one["show"]) == ([], 0.0, "full")
        assert one["ready_total"] + one["tail"] == pytest.approx(1.0, abs=1e-9)
        half = one["quantiles"][1]
        assert half["days"] == {"after": median[0], "by": median[1]}
        assert half["interval"]["low"] <= median[1] <= (half["interval"]["high"] or 60)
        assert one["sentence"].startswith(f"{one['group']}: half are ready by day {median[1]}, ")


def test_two_causes_and_two_bounds_come_out_as_from_the_rows():
    """MLEcens' masses and log-likelihood for five cuts of eight (see test_published_curves)."""
    [group] = read(as_text(forty_pieces())).groups
    assert columns(group.rows) == columns(forty_pieces())
    found = answer(group)
    assert found.loglik == -63.58993200 == pytest.approx(-63.5899319962, abs=1e-8)
    assert {(q, r): m for q, r, m in found.lost_mass} == pytest.approx(
        {(4, 6): 0.125, (20, 23): 0.03511985, (31, 32): 0.05163995}, abs=6e-9
    )
    total = found.ready_total + found.lost_total + found.tail
    assert (found.ready + found.lost + found.healing, total) == (40, pytest.approx(1.0, abs=1e-9))


@pytest.mark.parametrize(("cuts", "pieces", "seed"), [(4, 8, 1), (6, 20, 2), (35, 6, 3)])
def test_the_half_is_the_reports(cuts, pieces, seed):
    """The report's own function says the same of the same rows, also beyond the curve's end."""
    rows = rows_of(Farm(cuts, pieces), np.random.default_rng(seed))
    found, fit = answer(PlainGroup("a", rows)), fit_incidence(rows)
    shown = shown_of(rows, fit, ready_band(rows, fit))
    assert shown is not None
    quarter, half, third = found.quantiles
    assert (half.days, half.interval) == (shown.half, shown.median)
    if shown.middle is not None:
        assert (quarter.days.after + 1, third.days.by) == shown.middle


def test_little_data_say_counts_and_no_days():
    """Masses are arithmetic and stay; of one cut, or of three ready, no day is said."""
    one_cut = answer(read("left,right,outcome\n" + "7,14,ready\n" * 20).groups[0])
    assert (one_cut.show, one_cut.group, one_cut.cuts) == ("range", ONE_GROUP, 1)
    assert one_cut.ready_mass == [(7, 14, 1.0)]
    assert [(q.days, q.interval) for q in one_cut.quantiles] == [(None, None)] * 3
    assert one_cut.sentence == (
        "All pieces: 20 of 20 ready, first seen ready on day 14; none lost; one cut only."
    )
    three_cuts = "".join(f"{d},{d + 7},ready,{c}\n" for c in range(3) for d in (7, 14, 21))
    curve = answer(read("left,right,outcome,cut\n" + three_cuts).groups[0])
    assert (curve.show, [q.interval for q in curve.quantiles]) == ("curve", [None] * 3)
    assert (curve.quantiles[1].days.after, curve.quantiles[1].days.by) == (14, 21)
    assert "too few cuts (3)" in curve.sentence


@pytest.mark.parametrize("outcome", ["ready", "lost", "healing"])
def test_one_kind_only(outcome):
    right = "" if outcome == "healing" else 9
    lines = "".join(f"2,{right},{outcome},{cut}\n" for cut in range(5) for _ in range(4))
    found = answer(read("left,right,outcome,cut\n" + lines).groups[0])
    shares = {"ready": found.ready_total, "lost": found.lost_total, "healing": found.tail}
    assert shares == {kind: float(kind == outcome) for kind in shares}
    assert found.loglik == 0.0
    assert found.sentence.startswith("All pieces: ")


AS_PLAIN = [[0, 14, 3], [7, 21, 5], [1, 0, 2], [0, 0, 1], [2, 1, 1]]
PLAIN = (
    "left,right,outcome,seen_alive,cut,count\n0,7,lost,,x,2\n14,21,ready,,x,\n3,,healing,5,y,1\n"
)
WRITTEN_OTHERWISE = {
    "byte order mark and CRLF": "\ufeff" + PLAIN.replace("\n", "\r\n"),
    "semicolons": PLAIN.replace(",", ";"),
    "tabs": PLAIN.replace(",", "\t"),
    "carriage returns alone": PLAIN.replace("\n", "\r"),
    "quotes and spaces": re.sub(r"([^,\n]+)", r'" \1 "', PLAIN),
    "capitals": PLAIN.upper().replace("X", "x").replace("Y", "y"),
    "whole numbers with a point": PLAIN.replace("21", "21.0").replace("3,", "03.,"),
    "blank lines and spare commas": "\n" + PLAIN.replace("\n", ",,\n\n,,,,,,,\n"),
    "another order, another column": (
        "note,outcome,count,cut,right,seen_alive,left\n"
        'a,lost,2,x,7,,0\n"b, or\nc",ready,,x,21,,14\n,healing,1,y,,5,3\n'
    ),
}


@pytest.mark.parametrize("name", WRITTEN_OTHERWISE)
def test_tables_as_programs_write_them(name):
    table = read(WRITTEN_OTHERWISE[name])
    assert [columns(group.rows) for group in table.groups] == [AS_PLAIN]
    assert table.not_used == (["note"] if "note" in WRITTEN_OTHERWISE[name] else [])


BAD = {
    "empty": ("", "The file is empty."),
    "blank": (" \n\n", "The file is empty."),
    "only a header": (HEAD, "no line below it"),
    "a column missing": ("left,outcome\n1,ready\n", "must name the column 'right', but reads 'l"),
    "no header": ("1,2,ready\n", "the columns 'left' and 'right' and 'outcome'"),
    "a column twice": ("left,right,outcome,Left\n", "names the column 'left' twice"),
    "decimal": (HEAD + "1.5,2,ready,,1,a,\n", "Line 2: 'left' is '1.5', which is no whole number "),
    "decimal comma": ("left;right;outcome\n1;2,5;ready\n", "Line 2: 'right' is '2,5'"),
    "negative": (HEAD + "-1,2,ready,,1,a,\n", "Line 2: 'left' is '-1'"),
    "a century on": (HEAD + "1,36526,ready,,1,a,\n", "whole number of days from 0 to 36525"),
    "nan": (HEAD + "1,2,ready,,1,a,\n1,NaN,lost,,1,a,\n", "Line 3: 'right' is 'NaN'"),
    "nan while healing": (HEAD + "1,NaN,healing,,1,a,\n", "Line 2: 'right' is 'NaN', but the "),
    "other digits": (HEAD + "1,٣,ready,,1,a,\n", "Line 2: 'right' is '٣'"),
    "endless": (HEAD + f"1,{'9' * 5000},ready,,1,a,\n", "is '999999999999999999999999999999…'"),
    "no left": (HEAD + ",2,ready,,1,a,\n", "Line 2: 'left' is empty"),
    "no right": (HEAD + "1,,ready,,1,a,\n", "Line 2: 'right' is empty"),
    "right before left": (HEAD + "9,9,lost,,1,a,\n", "'left' (9) is not before 'right' (9)"),
    "unknown outcome": (HEAD + "\n1,2,sold,,1,a,\n", "Line 3: 'outcome' is 'sold', not one of"),
    "right while healing": (HEAD + "1,2,healing,,1,a,\n", "still healing; leave it empty"),
    "alive before a look": (HEAD + "9,,healing,8,1,a,\n", "'seen_alive' (8) is before 'left' (9)"),
    "alive of a lost one": (HEAD + "1,2,lost,1,1,a,\n", "'seen_alive' is for pieces still healing"),
    "no cut": (HEAD + "1,2,lost,,,a,\n", "Line 2: 'cut' is empty"),
    "no group": (HEAD + "1,2,lost,,1,,\n", "Line 2: 'group' is empty"),
    "count of none": (HEAD + "1,2,lost,,1,a,0\n", "Line 2: 'count' is '0'"),
    "count beyond all": (HEAD + "1,2,lost,,1,a,1000000001\n", "from 1 to 1000000000"),
    "too few cells": (HEAD + "1,2,lost\n", "Line 2: 3 cells, but the first line has 7"),
    "too many cells": ("left,right,outcome\n1,2,lost,x\n", "Line 2: 4 cells"),
    "a quote without end": (HEAD + '1,2,lost,,1,"a,\n3,4,lost,,1,a,\n', "Line 2: its quotes"),
    "a line after two in one": (HEAD + '1,2,lost,,1,"a\nb",\n1,2,,,1,a,\n', "Line 4: 'outcome' is"),
    "zero byte": (HEAD + "1,2,lo\0st,,1,a,\n", "Line 2: a zero byte"),
}  # fmt: skip


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_read_is_said_with_its_line(name):
    text, words = BAD[name]
    with pytest.raises(RowsError, match=re.escape(words)) as refused:
        read(text)
    assert str(refused.value).endswith("Nothing was worked out.")


def test_a_file_in_another_coding_is_said_with_its_line(tmp_path, capsys):
    path = tmp_path / "old.csv"
    path.write_bytes((HEAD + "1,2,ready,,1,säge,\n").encode("latin-1"))
    assert main(["estimate", str(path)]) == 2
    said = capsys.readouterr()
    assert (said.out, said.err.count("\n")) == ("", 1)
    assert said.err.startswith(f"nubbin estimate: {path}: Line 2: not written in UTF-8.")
    for other, words in ((tmp_path, "cannot be read"), (tmp_path / "no.csv", "cannot be read")):
        assert main(["estimate", str(other)]) == 2
        assert words in capsys.readouterr().err


def test_standard_input(monkeypatch, capsysbinary):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(PLAIN.encode())))
    assert main(["estimate", "-"]) == 0
    [found] = json.loads(capsysbinary.readouterr().out)["groups"]
    assert (found["pieces"], found["cuts"], found["lost"], found["ready"]) == (4, 2, 2, 1)
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"")))
    assert main(["estimate", "-"]) == 2
    said = b"nubbin estimate: standard input: The file is empty. Nothing was worked out.\n"
    assert capsysbinary.readouterr() == (b"", said)


def test_huge_counts_give_the_masses_of_small_ones():
    """Forty pieces, each a hundred million: the same masses, the log-likelihood times as many."""
    few = answer(PlainGroup("a", forty_pieces()))
    many = answer(read(as_text(forty_pieces()).replace(",1\n", ",100000000\n")).groups[0])
    assert many.pieces == 4_000_000_000
    assert many.loglik == pytest.approx(few.loglik * 1e8, rel=1e-8)
    masses = [np.array(one.ready_mass + one.lost_mass) for one in (few, many)]
    assert masses[1] == pytest.approx(masses[0], abs=1e-6)


def test_a_thousand_groups_in_the_order_of_the_file():
    lines = [f"{i % 20},{i % 20 + 7},ready,1,g{i},{i + 1}\n" for i in range(1000)]
    found = answers(read("left,right,outcome,cut,group,count\n" + "".join(lines)))
    assert [one.group for one in found.groups] == [f"g{i}" for i in range(1000)]
    assert [one.pieces for one in found.groups] == list(range(1, 1001))
