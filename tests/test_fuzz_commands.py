"""However its files, options and words are wrecked, a command ends in words and with a code."""

import os
from itertools import islice

import pytest
from fuzz import Ended, cases, sound_files, tried

MANY = int(os.environ.get("BARWRIGHT_FUZZ", "2000"))
SEED = int(os.environ.get("BARWRIGHT_SEED", "20261125"))
PARTS = 16


@pytest.fixture(scope="module")
def sound() -> dict[str, bytes]:
    return sound_files()


@pytest.mark.slow
@pytest.mark.parametrize("part", range(PARTS))
def test_wrecked_inputs_end_in_words_and_with_a_code(part: int, sound: dict[str, bytes]) -> None:
    ended = [tried(case) for case in islice(cases(SEED + part, sound), -(-MANY // PARTS))]
    bad = [one for one in ended if one.wrong]
    assert not bad, _told(bad)
    assert {one.code for one in ended} >= {0, 2}  # some get through, some are turned down


def _told(bad: list[Ended]) -> str:
    return "\n".join(
        f"python tests/fuzz.py 1 {one.case.seed}: {one.case.words!r}: {one.wrong}" for one in bad
    )


def test_the_files_to_be_wrecked_are_sound(sound: dict[str, bytes]) -> None:
    from fuzz import Case

    words = ("check", "bench", "formula.toml")
    assert tried(Case("none", words, sound)).code in {0, 4}
    assert tried(Case("none", ("verify", "proof.json", "--bench", "bench"), sound)).code == 0
