"""From a client's request in inches to the printed sheet in their hands, over HTTP and through real processes."""

import re
from io import BytesIO

import pytest
from pypdf import PdfReader

from tests.integration.house import House
from tests.integration.servers import wait_until

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("servers")]


def words_of(pdf: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages))


@pytest.mark.parametrize(
    "house",
    [
        pytest.param("embedded", id="SQLite and files"),
        pytest.param("on_servers", id="PostgreSQL and Redis", marks=pytest.mark.servers),
    ],
    indirect=True,
)
def test_from_request_to_sheet(house: House) -> None:
    house.start("web", "worker", "beat")
    made = house.new_request()
    assert made["state"] == "received"
    desk = f"/api/v1/desk/requests/{made['reference']}"

    queue = house.as_tuner("GET", "/api/v1/desk/requests/")["results"]
    assert [row["reference"] for row in queue] == [made["reference"]]
    derived = {row["key"]: row for row in house.as_tuner("GET", f"{desk}/derivation/")["values"]}
    # By hand from the readings: 5 1/8 in less 3 5/8 in is 1 1/2 in, 24 3/4 in less 22 15/16 in is 1 13/16 in;
    # an inch is 25.4 mm.
    assert derived["sag_rider_aboard.front"]["value"] == pytest.approx(1.5 * 25.4)
    assert derived["sag_rider_aboard.rear"]["value"] == pytest.approx(29 / 16 * 25.4)

    draft = house.draft(made)
    note = "Measure twice before you turn anything."
    draft = house.as_tuner(
        "PUT", f"{desk}/draft/", {"lock": draft["lock"], "content": draft["content"] | {"tuner_note": note}}
    )
    change = draft["content"]["changes"][0]
    # The rear sinks too far and its preload stands at 4 turns of 14: more of it is the change to begin with.
    assert (change["adjuster"], change["start"], change["unit"]) == ("rear.preload", 4.0, "turn")
    assert 4.0 < change["target"] <= 14.0
    assert house.sheet(made)[0] == 404
    approved = house.approve(made, draft)
    status, pdf = wait_until(lambda: (got := house.sheet(made))[0] != 409 and got, 90, "the sheet is printed")

    assert status == 200, pdf
    assert pdf.startswith(b"%PDF-")
    text = words_of(pdf)
    assert approved["number"] in text
    assert "Rear preload" in text
    assert "from 4 turns in from fully soft" in text
    assert f"to {change['target']:g} turns in from fully soft" in text
    assert "rear sinks 1.81 in" in text
    assert note in text
    assert "Front fork position, left leg 0.2 in" in text  # 5.0 mm as read; 5 / 25.4 is 0.197
    wait_until(lambda: house.mails("sheet_ready") == ["sent"], 30, "the client is told")
    assert house.posted(f"Subject: Your setup sheet {approved['number']} is ready") == 1
    [job] = house.as_tuner("GET", f"{desk}/jobs/")
    assert (job["state"], job["attempt"], job["sheet"]) == ("done", 1, True)


def test_pages_and_their_files_are_served(embedded: House) -> None:
    embedded.start("web")
    status, page = embedded.call("GET", "/")
    assert status == 200
    stylesheets = re.findall(r'href="(/static/[^"]+\.css)"', page.decode())
    assert stylesheets
    for address in stylesheets:
        assert embedded.call("GET", address)[0] == 200
