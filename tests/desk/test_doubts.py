"""A number that fits another unit better: stored with the round, seen by the tuner, asked about by the draft."""

import pytest

from intake.services import requests
from intake.services.requests import check_from_json
from tests.intake.rounds import read, ready, tuner
from tuning.desk import casefile, services

pytestmark = pytest.mark.django_db


def test_a_doubted_unit_reaches_the_tuner_and_the_draft():
    round_ = ready()
    read(round_, "rider_mass", "180", "kg", method="scale")
    read(round_, "stroke", "120.27", end="front", method="tape")
    requests.send_round(round_)
    stored = {row["id"]: check_from_json(row) for row in round_.checks if row["id"] in {"other_unit", "too_exact"}}
    assert stored.keys() == {"other_unit", "too_exact"}
    assert stored["other_unit"].again == ("rider_mass",)
    told = [row["text"] for row in casefile.gather(round_).checks if row["shape"] == "ask"]
    assert any("180\u00a0lb would not" in text for text in told)
    assert any("120.27\u00a0mm" in text for text in told)
    draft = services.open_draft(round_, tuner())
    asked = [said["params"].get("check") for said in draft.content["questions"]]
    # What decides is asked about; how many digits a tape shows is for the tuner to judge.
    assert "other_unit" in asked
    assert "too_exact" not in asked
