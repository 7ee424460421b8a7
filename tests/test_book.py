"""The book of batches: the stock falls when one is closed, lots are traced, and nothing is lost."""

import json
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import replace
from statistics import stdev

import pytest
from barwright.constraints.bench.book_keeping import (
    close_batch,
    open_batch,
    read_book,
    undo_batch,
)
from barwright.constraints.bench.book_reading import batch_in, batch_text
from barwright.constraints.bench.reading import read_bench
from barwright.constraints.bench.stock_writing import with_stock_changed
from barwright.constraints.model.book import BatchMade, State, WeighedIn
from barwright.constraints.values.problem import InputError, Problems
from barwright.workshop.book.learning import habit_of, with_habit
from barwright.workshop.book.tracing import holding_lot, without_lot
from hypothesis import given, settings
from hypothesis import strategies as st

SULFATE, BTMS = "sodium coco-sulfate, needles", "behentrimonium methosulfate, 25 % grade"
BATCH = BatchMade(
    number="",
    bench="oily-hair",
    formula="today",
    made="2026-11-23",
    state=State.OPEN,
    bars=12,
    came_out=None,
    weighed=(
        WeighedIn(SULFATE, "N-0731", 0.1125),
        WeighedIn(BTMS, "N-0212", 0.045),
        WeighedIn("kaolin, white", "", 0.08),
    ),
)


@pytest.fixture
def workshop(examples, tmp_path):
    return shutil.copytree(examples, tmp_path / "workshop")


def stock(workshop, name):
    return read_bench(workshop / "oily-hair").item(name).stock


def test_closing_lowers_the_stock_by_what_went_in_and_undoing_puts_it_back(workshop):
    shelf = (workshop / "shelf.csv").read_bytes()
    opened = open_batch(workshop, BATCH)
    assert (opened.number, stock(workshop, SULFATE)) == ("2026-11-23-01", 5.0)
    closed = close_batch(workshop, opened.number)
    assert closed.state is State.CLOSED
    assert stock(workshop, SULFATE) == pytest.approx(5.0 - 0.1125, abs=1e-12)
    assert stock(workshop, BTMS) == pytest.approx(2.0 - 0.045, abs=1e-12)
    assert stock(workshop, "kaolin, white") is None
    undo_batch(workshop, opened.number)
    assert (workshop / "shelf.csv").read_bytes() == shelf
    assert read_book(workshop)[0].state is State.UNDONE


def test_a_batch_is_closed_once_and_undone_once(workshop):
    number = open_batch(workshop, BATCH).number
    with pytest.raises(InputError, match="batch that is open"):
        undo_batch(workshop, number)
    close_batch(workshop, number)
    with pytest.raises(InputError, match="batch that is closed"):
        close_batch(workshop, number)
    undo_batch(workshop, number)
    with pytest.raises(InputError, match="batch that is undone"):
        undo_batch(workshop, number)
    close_batch(workshop, number)
    assert stock(workshop, SULFATE) == pytest.approx(4.8875)


def test_no_more_is_taken_than_is_there_and_then_nothing_is_taken(workshop):
    heavy = replace(BATCH, weighed=(*BATCH.weighed, WeighedIn(BTMS, "N-0212", 3.0)))
    number = open_batch(workshop, heavy).number
    shelf = (workshop / "shelf.csv").read_bytes()
    with pytest.raises(InputError, match="1045 g less"):
        close_batch(workshop, number)
    assert (workshop / "shelf.csv").read_bytes() == shelf
    assert read_book(workshop)[0].state is State.OPEN


def test_a_lot_that_is_not_on_the_shelf_is_told(workshop):
    strange = replace(BATCH, weighed=(WeighedIn(BTMS, "X-1", 0.01),))
    number = open_batch(workshop, strange).number
    with pytest.raises(InputError, match="lot X-1"):
        close_batch(workshop, number)


def test_a_batch_that_is_not_there_is_told(workshop):
    open_batch(workshop, BATCH)
    with pytest.raises(InputError, match="no such batch"):
        close_batch(workshop, "2026-11-23-07")


def test_a_workshop_without_a_sheet_of_its_shelf_is_told(workshop):
    number = open_batch(workshop, BATCH).number
    (workshop / "shelf.csv").unlink()
    with pytest.raises(InputError, match="no such file"):
        close_batch(workshop, number)
    assert read_book(workshop)[0].state is State.OPEN


masses = st.floats(1e-6, 5.0).map(lambda mass: round(mass, 9))
words = st.text(st.characters(blacklist_categories=("Cs", "Cc")), min_size=1, max_size=12).filter(
    lambda text: text.strip()
)


@given(
    st.builds(
        BatchMade,
        number=st.just("2026-11-23-01"),
        bench=words,
        formula=words,
        made=st.just("2026-11-23"),
        state=st.sampled_from(State),
        bars=st.integers(0, 1000),
        came_out=st.none() | st.integers(0, 1000),
        weighed=st.lists(st.builds(WeighedIn, words, st.just("") | words, masses), max_size=4).map(
            tuple
        ),
        ph=st.lists(st.floats(0.0, 14.0).map(lambda ph: round(ph, 2)), max_size=3).map(tuple),
        pressed=st.lists(masses, min_size=2, max_size=2).map(tuple),
        dried=st.just(()) | st.lists(masses, min_size=2, max_size=2).map(tuple),
    )
)
@settings(max_examples=60, deadline=None)
def test_a_batch_written_is_read_back(batch):
    read = batch_in("a.toml", batch_text(batch), batch.number)
    assert isinstance(read, BatchMade), read
    same = replace(
        read,
        weighed=tuple(replace(one, mass=round(one.mass, 9)) for one in read.weighed),
        pressed=tuple(round(one, 9) for one in read.pressed),
        dried=tuple(round(one, 9) for one in read.dried),
    )
    assert same == batch


def test_a_batch_begun_says_what_to_note_and_what_it_says_is_read():
    begun = BatchMade(
        number="1", bench="bar", formula="bar", made="2026-11-23", state=State.OPEN, bars=12,
        came_out=None, weighed=(WeighedIn("wax", "", 0.5),), ph=(), pressed=(), dried=(),
    )  # fmt: skip
    text = batch_text(begun)
    (example,) = [line for line in text.splitlines() if line.startswith("# ph = ")]
    said = example.removeprefix("# ").removesuffix(".")
    noted = re.sub(r", (?=\w+ = )", "\n", said)
    read = batch_in("a.toml", text.replace(example, noted), "1")
    assert isinstance(read, BatchMade), read
    assert (read.ph, read.came_out, read.pressed, read.dried) == (
        (5.3,), 12, (0.0618, 0.0615), (0.0606, 0.0602),
    )  # fmt: skip


def test_everything_wrong_with_a_batch_is_told_at_once():
    text = 'schema = 1\nmade = "soon"\nstate = "shut"\nbars = -1\ndried = ["60 g"]\nweighed = [1]\n'
    found = batch_in("a.toml", text, "a")
    assert isinstance(found, Problems)
    places = {problem.where.place for problem in found.items}
    assert {"line 2, made", "line 3, state", "line 4, bars", "line 5, dried"} <= places


SHELF = """# my shelf
material;pack;price;stock;note;lot
"wax, plain";1 kg;4 EUR;1,5 kg;"best; keep dry";A
  "wax, plain" ;1 kg;4 EUR;250 g;;B
oil;1 kg;4 EUR;;;
"""


@pytest.mark.parametrize(
    ("changes", "stocks"),
    [
        ({("wax, plain", "A"): -0.5}, ("1 kg", "250 g")),
        ({("wax, plain", "B"): -0.05}, ("1,5 kg", "200 g")),
        ({("wax, plain", ""): -1.6}, ("0 kg", "150 g")),
        ({("wax, plain", ""): 0.25}, ("1,75 kg", "250 g")),
        ({("oil", ""): -9.0}, ("1,5 kg", "250 g")),
    ],
)
def test_only_the_stock_changes_in_the_unit_it_was_written_in(changes, stocks):
    text = with_stock_changed("shelf.csv", SHELF.encode(), changes)
    assert text == SHELF.replace("1,5 kg", stocks[0]).replace("250 g", stocks[1])


def test_what_a_lot_lacks_is_not_taken_from_another():
    assert isinstance(
        with_stock_changed("shelf.csv", SHELF.encode(), {("wax, plain", "B"): -0.3}), Problems
    )


def test_a_lot_that_the_shelf_does_not_have_is_told_with_those_it_has():
    found = with_stock_changed("shelf.csv", SHELF.encode(), {("wax, plain", "C"): -0.3})
    assert isinstance(found, Problems)
    (problem,) = found.items
    assert problem.found == "no lot C of wax, plain"
    assert problem.nearest == ("A", "B")


# --- tracing and learning -------------------------------------------------------------------------


def test_which_bars_hold_a_lot_and_of_what_no_lot_is_noted(workshop):
    for made in ("2026-11-23", "2026-11-24", "2026-11-25"):
        open_batch(workshop, replace(BATCH, made=made))
    open_batch(workshop, replace(BATCH, weighed=BATCH.weighed[2:]))
    close_batch(workshop, "2026-11-23-01")
    close_batch(workshop, "2026-11-24-01")
    undo_batch(workshop, "2026-11-24-01")
    found = holding_lot(read_book(workshop), "n-0731")
    assert [one.batch.number for one in found] == ["2026-11-23-01", "2026-11-25-01"]
    assert found[0].share == pytest.approx(0.1125 / 0.2375)
    assert without_lot(found[0].batch) == BATCH.weighed[2:]


def closed(pressed, dried=(), bench="oily-hair"):
    return replace(BATCH, state=State.CLOSED, pressed=pressed, dried=dried, bench=bench)


def test_the_spread_is_that_within_batches_not_that_between_them():
    first, second = (0.061, 0.062, 0.063), (0.071, 0.072, 0.073)
    habit = habit_of([closed(first), closed(second), replace(closed(first), state=State.OPEN)])
    assert habit.spread == pytest.approx(0.001)
    assert stdev(habit.weighings) == pytest.approx(0.001)
    assert len(habit.weighings) == 6
    assert habit_of([closed(first)], bench="dry-hair").spread is None


def test_drying_is_learnt_from_bars_weighed_twice():
    habit = habit_of([closed((0.1, 0.1), (0.097, 0.095))])
    assert habit.drying == pytest.approx(0.04)
    assert habit.driest == pytest.approx(0.05)


def test_what_was_learnt_feeds_the_bench_and_never_makes_it_dry_less(workshop):
    bench = read_bench(workshop / "oily-hair")
    more = with_habit(bench, habit_of([closed((0.1, 0.1), (0.097, 0.095))]))
    assert more.brief.portioning.drying == pytest.approx(0.04)
    less = with_habit(bench, habit_of([closed((0.1, 0.1), (0.099, 0.1))]))
    assert less.brief.portioning.drying == bench.brief.portioning.drying
    assert more.brief.rules == bench.brief.rules


# --- many at once, and ended half way -------------------------------------------------------------

WORKER = """
import sys
from barwright.constraints.bench.book_keeping import close_batch, open_batch
from barwright.constraints.model.book import BatchMade, State, WeighedIn
weighed = (WeighedIn({sulfate!r}, "N-0731", 0.01), WeighedIn({btms!r}, "N-0212", 0.002))
for _ in range({times}):
    batch = BatchMade("", "oily-hair", "today", "2026-11-23", State.OPEN, 1, None, weighed)
    number = open_batch({folder!r}, batch).number
    close_batch({folder!r}, number)
    print(number, flush=True)
"""


def working(workshop, times):
    code = WORKER.format(sulfate=SULFATE, btms=BTMS, times=times, folder=str(workshop))
    return subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True)


def in_step(workshop):
    """How many batches are closed; the stock must have fallen by just what they took."""
    done = sum(one.state is State.CLOSED for one in read_book(workshop))
    assert stock(workshop, SULFATE) == pytest.approx(5.0 - 0.01 * done, abs=1e-9)
    assert stock(workshop, BTMS) == pytest.approx(2.0 - 0.002 * done, abs=1e-9)
    return done


@pytest.mark.slow
def test_processes_that_close_batches_at_once_lose_nothing(workshop):
    workers = [working(workshop, 8) for _ in range(4)]
    said = [line for one in workers for line in one.communicate(timeout=120)[0].split()]
    assert [one.returncode for one in workers] == [0] * 4
    assert len(set(said)) == 32
    assert in_step(workshop) == 32


@pytest.mark.slow
def test_processes_that_are_killed_leave_all_of_a_closing_or_nothing(workshop):
    drawn = random.Random(7)
    told = 0
    for _ in range(12):
        workers = [working(workshop, 400) for _ in range(2)]
        time.sleep(0.35 + drawn.random() * 0.4)
        for one in workers:
            one.send_signal(signal.SIGKILL if hasattr(signal, "SIGKILL") else signal.SIGTERM)
        told += sum(len(one.communicate(timeout=60)[0].split()) for one in workers)
        done = in_step(workshop)
        assert done >= told  # what was said to be closed is closed
        if done > 150:
            break
    close_batch(workshop, open_batch(workshop, BATCH).number)
    assert not [*workshop.glob(".*.part"), *(workshop / "book").glob(".*.part")]


# --- the command ----------------------------------------------------------------------------------


def test_the_command_opens_closes_traces_and_undoes(barwright, workshop):
    folder, formula = str(workshop), str(workshop / "oily-hair/formulas/today.toml")
    begun = barwright(
        *("book", folder, "--open", formula, "--bars", "12", "--made", "2026-11-23"),
        *("--format", "json"),
    )
    assert begun.returncode == 0, begun.stderr
    batch = json.loads(begun.stdout)["batch"]
    assert {one["lot"] for one in batch["weighed"]} >= {"N-0418", "N-0731", "N-0212", None}
    number = batch["batch"]
    assert barwright("book", folder, "--close", number).returncode == 0
    went = sum(one["mass"] for one in batch["weighed"] if one["material"] == BTMS)
    assert stock(workshop, BTMS) == pytest.approx(2.0 - went)
    traced = json.loads(barwright("book", folder, "--lot", "N-0212", "--format", "json").stdout)
    assert [one["batch"] for one in traced["held_by"]] == [number]
    shown = barwright("book", folder, "--batch", number).stdout
    assert "N-0731" in shown
    assert barwright("book", folder, "--undo", number).returncode == 0
    assert stock(workshop, BTMS) == 2.0
    assert "undone" in barwright("book", folder).stdout


@pytest.mark.parametrize(
    "words",
    [
        ("--close", "2026-01-01-01"),
        ("--lot", "nothing"),
        ("--batch", "none"),
        ("--bars", "12"),
        ("--close", "a", "--undo", "b"),
        ("--open", "nowhere.toml", "--bars", "2"),
    ],
)
def test_what_cannot_be_done_in_the_book_ends_with_two(barwright, workshop, words):
    done = barwright("book", str(workshop), *words)
    assert (done.returncode, done.stdout) == (2, "")


def test_what_the_book_knows_feeds_the_fill_and_the_batch(barwright, workshop):
    number = open_batch(workshop, BATCH).number
    close_batch(workshop, number)
    path = workshop / "book" / f"{number}.toml"
    bench = str(workshop / "oily-hair")
    none = barwright("fill", bench, "--book", str(workshop))
    assert (none.returncode, "--book" in none.stderr) == (2, True)
    pressed = ", ".join(f'"{grams} g"' for grams in (62.0, 62.4, 61.8, 62.2, 62.6, 61.6))
    dried = ", ".join(f'"{grams} g"' for grams in (59.5, 59.9, 59.3, 59.7, 60.1, 59.1))
    noted = f"pressed = [{pressed}]\ndried = [{dried}]\nweighed ="
    text = path.read_text("utf-8").replace("weighed =", noted)
    path.write_text(text, "utf-8")
    plain = json.loads(barwright("fill", bench, "--format", "json").stdout)
    found = json.loads(barwright("fill", bench, "--book", str(workshop), "--format", "json").stdout)
    assert found["weighings"] == 6
    assert found["least"] > plain["least"]  # they dry by 4 %, not by 2 %
    formula = str(workshop / "oily-hair/formulas/today.toml")
    words = ("batch", bench, formula, "--bars", "12", "--format", "json")
    mixes = [
        json.loads(barwright(*words, *more).stdout)["mix"]
        for more in ((), ("--book", str(workshop)))
    ]
    assert mixes[1] > mixes[0]


def test_of_too_few_past_bars_no_spread_is_learnt_but_their_drying_is(barwright, workshop):
    """Three bars weighed: the fill stands on the spread of the brief, and on how they dried."""
    number = open_batch(workshop, BATCH).number
    close_batch(workshop, number)
    path = workshop / "book" / f"{number}.toml"
    pressed, dried = ("62.0 g", "62.4 g", "61.8 g"), ("59.5 g", "59.9 g", "59.3 g")
    noted = f"pressed = {json.dumps(pressed)}\ndried = {json.dumps(dried)}\nweighed ="
    path.write_text(path.read_text("utf-8").replace("weighed =", noted), "utf-8")
    words = ("fill", str(workshop / "oily-hair"), "--format", "json")
    plain = json.loads(barwright(*words).stdout)
    found = json.loads(barwright(*words, "--book", str(workshop)).stdout)
    assert (found["weighings"], found["spread"]) == (0, plain["spread"])
    assert found["least"] > plain["least"]


def test_the_ph_of_a_past_batch_narrows_what_acidity_and_check_say(barwright, workshop):
    bench, formula = workshop / "oily-hair", workshop / "oily-hair/formulas/today.toml"
    words = (str(bench), str(formula), "--format", "json")
    plain = json.loads(barwright("acidity", *words).stdout)
    number = open_batch(workshop, BATCH).number
    path = workshop / "book" / f"{number}.toml"
    path.write_text(
        path.read_text("utf-8").replace("weighed =", "ph = [5.35, 5.4]\nweighed ="), "utf-8"
    )
    close_batch(workshop, number)
    book = ("--book", str(workshop))
    found = json.loads(barwright("acidity", *words, *book).stdout)
    assert found["readings"]["taken"]
    assert found["prediction"]["ph"] != plain["prediction"]["ph"]
    band = [one["lots"]["rules"][0] for one in (plain, found)]
    assert band[1]["greatest"] < band[0]["greatest"]
    judged = json.loads(barwright("check", *words, *book).stdout)
    assert judged["prediction"]["ph"] == found["prediction"]["ph"]
