"""References that can be read out over the telephone."""

import re

import pytest

from intake.reference import ALPHABET, PATTERN, new_reference, tidy_reference


def test_new_references_are_of_the_pattern_and_unlike() -> None:
    made = {new_reference() for _ in range(200)}
    assert all(PATTERN.match(reference) for reference in made)
    assert len(made) > 195  # a clash among 200 of 2**30 has a chance of about 1 in 54 000


def test_no_letter_is_taken_for_a_figure() -> None:
    assert len(ALPHABET) == len(set(ALPHABET)) == 32
    assert not re.search("[ILOU]", ALPHABET)


@pytest.mark.parametrize("typed", ["FP-7K3M-2Q", "fp-7k3m-2q", " FP 7K3M 2Q ", "7k3m2q", "FP7K3M2Q", "fp–7k3m–2q"])
def test_as_typed(typed: str) -> None:
    assert tidy_reference(typed) == "FP-7K3M-2Q"


def test_lookalikes_are_put_right() -> None:
    assert tidy_reference("FP-OIL1-0o") == "FP-0111-00"
