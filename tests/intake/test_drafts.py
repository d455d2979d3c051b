"""Raw text of the steps: versions, conflicts, progress."""

import pytest

from intake.models import StepDraft
from intake.services import steps
from tests.intake.rounds import started

pytestmark = pytest.mark.django_db


@pytest.fixture
def round_():
    return started().round()


def test_every_save_is_a_version_of_its_own(round_):
    first = steps.save_raw(round_, "sag", {"L0": "a hand"}, 0)
    second = steps.save_raw(round_, "sag", {"L0": "130"}, first.version)
    assert (first.version, second.version) == (1, 2)
    assert steps.latest_raw(round_, "sag") == second
    assert StepDraft.objects.get(version=1).fields == {"L0": "a hand"}


def test_steps_count_apart(round_):
    steps.save_raw(round_, "sag", {"L0": "130"}, 0)
    assert steps.save_raw(round_, "rider", {"rider_mass": "84"}, 0).version == 1
    assert steps.latest_raw(round_, "travel") is None


def test_another_tab_that_saved_meanwhile_is_told_with_what_it_saved(round_):
    steps.save_raw(round_, "sag", {"L0": "130"}, 0)
    with pytest.raises(steps.Conflict) as conflict:
        steps.save_raw(round_, "sag", {"L0": "131"}, 0)
    assert conflict.value.saved.fields == {"L0": "130"}
    # What stands is what was saved first; what came too late is on record beside it.
    assert steps.latest_raw(round_, "sag").fields == {"L0": "130"}
    assert steps.kept(round_)["sag"].aside.fields == {"L0": "131"}


def test_after_a_conflict_saving_goes_on_from_what_stands(round_):
    first = steps.save_raw(round_, "sag", {"L0": "130"}, 0)
    for _pressed_twice in range(2):
        with pytest.raises(steps.Conflict) as conflict:
            steps.save_raw(round_, "sag", {"L0": "131"}, 0)
    assert conflict.value.saved == first
    assert StepDraft.objects.filter(aside=True).count() == 1
    again = steps.save_raw(round_, "sag", {"L0": "131", "L1": "105"}, conflict.value.saved.version)
    assert steps.latest_raw(round_, "sag") == again
    # Whoever saved had both before them; all three texts are on record.
    assert steps.kept(round_)["sag"] == steps.Kept(again, None)
    assert StepDraft.objects.count() == 3
    assert steps.progress(round_) == {"sag": False}
    # The first tab, still at its own version, is now the one that is behind.
    with pytest.raises(steps.Conflict):
        steps.save_raw(round_, "sag", {"L0": "130", "L1": "104"}, first.version)


def test_the_same_text_from_two_tabs_is_no_conflict(round_):
    first = steps.save_raw(round_, "sag", {"L0": "130"}, 0)
    assert steps.save_raw(round_, "sag", {"L0": "130"}, 0) == first


def test_two_saves_at_the_same_moment_end_in_one_version_and_one_conflict(round_, monkeypatch):
    real = steps.latest_raw
    seen = []

    def late(round_, step):
        found = real(round_, step)
        if not seen:  # the other tab gets in between looking and writing
            seen.append(StepDraft.objects.create(round=round_, step=step, version=1, fields={"L0": "129"}))
        return found

    monkeypatch.setattr(steps, "latest_raw", late)
    with pytest.raises(steps.Conflict) as conflict:
        steps.save_raw(round_, "sag", {"L0": "130"}, 0)
    assert conflict.value.saved.fields == {"L0": "129"}
    assert StepDraft.objects.get(aside=True).fields == {"L0": "130"}


def test_progress_goes_by_the_last_version(round_):
    first = steps.save_raw(round_, "sag", {"L0": "130"}, 0)
    steps.mark_complete(first)
    assert steps.progress(round_) == {"sag": True}
    steps.save_raw(round_, "sag", {"L0": "a hand"}, 1)
    assert steps.progress(round_) == {"sag": False}
