"""Counts at the settings step: read in what the adjuster is counted in, and nothing else."""

import pytest

from intake.models import Adjuster, Setting
from tests.intake.at_form import begin, save
from tests.intake.filled import FILLED

pytestmark = pytest.mark.django_db


def test_turns_written_where_clicks_are_chosen_are_asked_about_and_not_recorded(client):
    request = begin(client)
    answer = save(client, request, "settings", FILLED["settings"] | {"front.rebound.left.found": "3 turns"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "3 turns" in page
    assert "What is wanted here is in clicks" in page
    assert not Setting.objects.exists()


def test_the_unit_that_was_chosen_may_be_written_behind(client):
    request = begin(client)
    answer = save(client, request, "settings", FILLED["settings"] | {"front.rebound.left.found": "10 clicks"})
    assert answer.status_code == 302
    assert Setting.objects.get(adjuster__key="front.rebound.left").value == 10


def test_preload_read_in_millimetres_is_a_length(client):
    request = begin(client)
    typed = {"rear.preload.counted_in": "mm", "rear.preload.found": "1.2 cm"}
    assert save(client, request, "settings", FILLED["settings"] | typed).status_code == 302
    row = Setting.objects.get(adjuster__key="rear.preload")
    assert (row.value, row.adjuster.unit) == (pytest.approx(12), "mm")


def test_a_range_of_nothing_is_asked_about(client):
    request = begin(client)
    answer = save(client, request, "settings", FILLED["settings"] | {"front.rebound.left.range": "0"})
    assert answer.status_code == 422
    assert not Adjuster.objects.exists()


def test_a_garbled_choice_of_unit_is_no_error_page(client):
    request = begin(client)
    answer = save(client, request, "settings", FILLED["settings"] | {"front.rebound.counted_in": "furlong"})
    assert answer.status_code == 422
