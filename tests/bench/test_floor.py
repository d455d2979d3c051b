"""The benchmark's floor computes what ``derive`` does; nothing is timed here."""

from tests.bench.documents import text
from tests.bench.floor import formulas, load
from tuning.engine.derive import derive
from tuning.engine.document import read_text


def test_the_floor_agrees_with_derive() -> None:
    values = derive(read_text(text(0.5)), uncertain=False).values
    for key, numbers in formulas(load([text(), text(0.5)])).items():
        found = values[key].value
        assert found is not None
        assert abs(numbers[1] - found) <= 1e-6 * max(1.0, abs(found)), key
