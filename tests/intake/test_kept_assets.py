"""What a step's page loads is what a phone keeps for when there is no connection."""

import re

import pytest
from django.test import Client

from intake.steps import PAGES, SHORT_WAY
from intake.views.live import ASSETS
from tests.intake.at_form import address, begin

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("way", "steps"), [("whole", [*PAGES]), ("short", [*SHORT_WAY])])
def test_all_that_a_step_loads_is_kept(client: Client, way: str, steps: list[str]) -> None:
    request = begin(client, way=way)
    loaded: set[str] = set()
    for step in steps:
        answer = client.get(address(request, step))
        assert answer.status_code == 200, step
        loaded |= set(re.findall(r'(?:src|href)="/static/(intake/[\w./-]+)"', answer.content.decode()))
    assert any(name.endswith(".js") for name in loaded)
    assert loaded <= set(ASSETS)
