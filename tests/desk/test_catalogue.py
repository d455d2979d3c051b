"""The catalogue at the desk: who may, what is refused, what is carried in and out, and the trail of it."""

import csv
import io
import json
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from intake.catalogue import files
from intake.catalogue.keys import VALUES
from intake.catalogue.rows import COLUMNS, row_of, written
from intake.models import CatalogueBike, CatalogueChange, SetupRequest, User
from tests.intake.catalogued import KESTWICK, bike

pytestmark = pytest.mark.slow

PAGES = ("catalogue", "catalogue_add", "catalogue_import", "catalogue_trail", "catalogue_csv", "catalogue_json")
NEW = {"make": "Tolva", "model": "Henwick 700", "front": "coil", "rear": "linkage", "bike_mass": "195"}


def address(name: str, *args: Any) -> str:
    return reverse(f"desk:{name}", args=args)


def form_of(kestwick: CatalogueBike) -> dict[str, str]:
    return {name: written(cell) for name, cell in row_of(kestwick).items()} | {"base": str(kestwick.version)}


def test_only_tuners_get_in(desk: Client) -> None:
    kestwick = bike()
    paths = [address(name) for name in PAGES] + [address("catalogue_bike", kestwick.pk)]
    for path in paths:
        assert desk.get(path).status_code == 200, path
        assert Client().get(path).status_code == 302, path
    for path in (address("catalogue_add"), address("catalogue_import"), address("catalogue_remove", kestwick.pk)):
        assert "/login/" in Client().post(path, NEW | {"sure": "1", "text": "make"}).url
    assert CatalogueBike.objects.count() == 1


def test_a_client_with_a_link_does_not_get_in(desk: Client, client: Client) -> None:
    client.post("/start/", {"units": "metric"})
    assert client.get(address("catalogue")).status_code == 302


def test_the_list_costs_the_same_with_five_hundred_bikes(desk: Client, tuner: User) -> None:
    def cost(query: str) -> int:
        with CaptureQueriesContext(connection) as queries:
            assert desk.get(address("catalogue") + query).status_code == 200
        return len(queries)

    bike(changed_by=tuner)
    few = cost("")
    for number in range(500):
        bike(model=f"Henwick {number}", changed_by=tuner)
    assert cost("") == cost("?page=11") == cost("?q=henwick") == few
    page = desk.get(address("catalogue") + "?page=99999999999999999999")
    assert page.context["page"].number == 11
    assert [one.model for one in desk.get(address("catalogue") + "?q=HENWICK+499").context["page"]] == ["Henwick 499"]


@pytest.mark.parametrize(
    "text", ["%", "_", "\x00", "<script>", "' OR 1=1", "é" * 200, "\u202e", "a b c d e f g h i j"]
)
def test_any_search_is_answered(desk: Client, text: str) -> None:
    bike()
    answer = desk.get(address("catalogue"), {"q": text, "page": text})
    assert answer.status_code == 200
    assert b"<script>" not in answer.content.replace(b"<script src", b"")


def test_a_bike_is_added_read_and_changed_with_a_trail(desk: Client, tuner: User) -> None:
    answer = desk.post(address("catalogue_add"), NEW | {"stroke.front": "5 1/8 in", "stroke.front.half_width": "2"})
    made = CatalogueBike.objects.get()
    assert answer.url == address("catalogue_bike", made.pk)
    # 5 1/8 in = 5.125 × 25.4 mm
    assert made.values["stroke.front"] == {"value": 130.175, "half_width": 2.0, "source": ""}
    assert made.changed_by == tuner
    desk.post(answer.url, form_of(made) | {"bike_mass": "198", "rake": "24,5"})
    made.refresh_from_db()
    assert (made.values["bike_mass"]["value"], made.values["rake"]["value"], made.version) == (198.0, 24.5, 2)
    newest, first = CatalogueChange.objects.all()
    assert (first.kind, newest.kind, newest.by) == ("added", "changed", tuner)
    assert newest.columns == {"bike_mass": [195.0, 198.0], "rake": [None, 24.5]}
    page = desk.get(answer.url).content.decode()
    assert "Sanne Okeld" in page
    assert "195 → 198" in page


def test_saving_it_as_it_stands_changes_nothing(desk: Client) -> None:
    kestwick = bike()
    desk.post(address("catalogue_bike", kestwick.pk), form_of(kestwick))
    assert not CatalogueChange.objects.exists()
    assert row_of(CatalogueBike.objects.get()) == row_of(kestwick)


def test_two_tuners_at_once_are_told_of_each_other(desk: Client) -> None:
    kestwick = bike()
    path, first = address("catalogue_bike", kestwick.pk), form_of(kestwick)
    desk.post(path, first | {"rake": "26"})
    answer = desk.post(path, first | {"rake": "27"})
    assert answer.status_code == 409
    assert 'value="27"' in answer.content.decode()
    kestwick.refresh_from_db()
    assert kestwick.values["rake"]["value"] == 26.0
    # Drawn anew from what stands now, the same button saves.
    assert desk.post(path, first | {"rake": "27", "base": str(answer.context["base"])}).status_code == 302


@pytest.mark.parametrize(
    ("fields", "column"),
    [
        ({"make": ""}, "make"),
        ({"model": "x" * 60}, "model"),
        ({"year_from": "1850"}, "year_from"),
        ({"year_from": "2019", "year_to": "2014"}, "year_to"),
        ({"year_from": "soon"}, "year_from"),
        ({"front": "wooden"}, "front"),
        ({"rear": ""}, "rear"),
        ({"stroke.front": "4000"}, "stroke.front"),
        ({"stroke.front": "about 12"}, "stroke.front"),
        ({"stroke.front": "120 kg"}, "stroke.front"),
        ({"stroke.front.half_width": "2"}, "stroke.front.half_width"),
        ({"stroke.front": "120", "stroke.front.half_width": "-2"}, "stroke.front.half_width"),
        ({"stroke.front": "120", "stroke.front.source": "x" * 200}, "stroke.front.source"),
        ({"rear.preload.unit": "furlong"}, "rear.preload.unit"),
        ({"rear.preload.range": "7"}, "rear.preload.unit"),
        ({"rear.preload.unit": "step", "rear.preload.range": "0"}, "rear.preload.range"),
        ({"rear.preload.unit": "step", "rear.preload.place": "cap"}, "rear.preload.place"),
        ({"rear.preload.unit": "step", "rear.preload.counted_from": "up"}, "rear.preload.counted_from"),
        ({"note": "x" * 1500}, "note"),
        ({"make": "Tol\x00va"}, ""),
    ],
)
def test_what_does_not_fit_is_told_at_its_field_and_kept(desk: Client, fields: dict[str, str], column: str) -> None:
    answer = desk.post(address("catalogue_add"), NEW | fields)
    if not column:  # kept with the mark of a lost character
        assert answer.status_code == 302
        return
    assert answer.status_code == 422
    assert not CatalogueBike.objects.exists()
    cells = {cell.name: cell for _about, cell in answer.context["form"].cells()}
    assert cells[column].error
    typed = {name: text for name, text in fields.items() if text and name not in {"front", "rear.preload.unit"}}
    assert {name: cells[name].value for name in typed} == typed


def test_the_same_bike_is_not_added_twice(desk: Client) -> None:
    bike(year_from=None, year_to=None)
    same = {"make": KESTWICK["make"], "model": KESTWICK["model"], "front": "coil", "rear": "direct"}
    assert desk.post(address("catalogue_add"), same).status_code == 422
    assert desk.post(address("catalogue_add"), same | {"year_from": "2021"}).status_code == 302


def test_the_model_refuses_what_the_engine_would() -> None:
    for wrong in (
        {"values": {"stroke.front": {"value": 4000.0}}},
        {"values": {"soul": {"value": 1.0}}},
        {"values": {"stroke.front": {"value": float("nan")}}},
        {"values": {"stroke.front": {"value": True}}},
        {"adjusters": {"front.rebound.left": {"unit": "mm"}}},
        {"adjusters": {"front.wings": {"unit": "click"}}},
        {"front": "wooden"},
    ):
        with pytest.raises(ValidationError):
            bike(**wrong)


def test_taking_it_out_needs_the_box(desk: Client) -> None:
    kestwick = bike()
    desk.post(address("catalogue_remove", kestwick.pk))
    assert CatalogueBike.objects.exists()
    desk.post(address("catalogue_remove", kestwick.pk), {"sure": "1"})
    assert not CatalogueBike.objects.exists()
    assert CatalogueChange.objects.get().kind == "removed"
    assert "Ostrell Kestwick 450" in desk.get(address("catalogue_trail")).content.decode()


# --- Files ----------------------------------------------------------------------------------------------------------


def some() -> list[CatalogueBike]:
    thirds = {key: round(known.of.low + (known.of.high - known.of.low) / 3, 6) for key, known in VALUES.items()}
    source = '=1+1, "x"\n\'y'
    odd = {key: {"value": value, "half_width": 0.0, "source": source} for key, value in thirds.items()}
    return [
        bike(note="=HYPERLINK(\"x\")\nsecond line; with, marks"),
        bike(make="'Quote", model="-5 Ärger", year_from=None, year_to=None, values=odd, adjusters={}),
        bike(make="@At", model="+", year_from=1999, year_to=None, values={}),
    ]  # fmt: skip


@pytest.mark.parametrize("form", ["csv", "json"])
def test_what_goes_out_comes_back_the_same(desk: Client, form: str) -> None:
    some()
    before = [row_of(one) for one in CatalogueBike.objects.all()]
    text = desk.get(address(f"catalogue_{form}")).content.decode()
    assert desk.post(address("catalogue_import"), {"text": text}).status_code == 302
    assert [row_of(one) for one in CatalogueBike.objects.all()] == before
    assert not CatalogueChange.objects.exists()
    CatalogueBike.objects.all().delete()
    desk.post(address("catalogue_import"), {"text": text})
    assert [row_of(one) for one in CatalogueBike.objects.all()] == before
    assert desk.get(address(f"catalogue_{form}")).content.decode() == text


def test_no_cell_of_a_csv_is_taken_for_a_formula(desk: Client) -> None:
    some()
    cells = [cell for row in csv.reader(io.StringIO(files.as_csv(CatalogueBike.objects.all()))) for cell in row]
    assert any("HYPERLINK" in cell for cell in cells)
    for cell in cells:
        assert not cell.startswith(("=", "+", "@"))
        assert not cell.startswith("-") or float(cell) < 0


def test_a_file_is_read_like_a_pasted_text(desk: Client) -> None:
    file = SimpleUploadedFile(
        "any.csv", "\ufeffmake;model;front;rear;rake\nTolva;Henwick;coil;linkage;24,5\n".encode()
    )
    assert desk.post(address("catalogue_import"), {"file": file}).status_code == 302
    made = CatalogueBike.objects.get()
    assert made.values["rake"]["value"] == 24.5
    assert CatalogueChange.objects.get().imported


def test_a_column_that_is_not_there_stays(desk: Client) -> None:
    kestwick = bike()
    text = "make,model,year_from,front,rear,rake\nOstrell,Kestwick 450,2014,coil,direct,26\n"
    desk.post(address("catalogue_import"), {"text": text})
    kestwick.refresh_from_db()
    assert kestwick.values["rake"] == {"value": 26.0, "half_width": 0.1, "source": ""}
    assert kestwick.values["bike_mass"]["value"] == 182.0
    assert kestwick.year_to == 2019


def test_every_fault_is_told_at_once_and_nothing_is_taken_in(desk: Client) -> None:
    text = (
        "make,model,front,rear,rake,stroke.front,rear.preload.unit\n"
        "Tolva,Henwick,coil,linkage,24.5,130,step\n"
        "Tolva,,wooden,linkage,400,1e9,step\n"
        "\n"
        "Tolva,Henwick,coil,linkage,25,120,furlong\n"
        "Tolva,Henwick,coil,linkage,25,120,\n"
    )
    answer = desk.post(address("catalogue_import"), {"text": text})
    assert answer.status_code == 422
    assert [(one["row"], one["column"], one["value"]) for one in answer.context["faults"]] == [
        (3, "model", ""),
        (3, "front", "wooden"),
        (3, "rake", "400"),
        (3, "stroke.front", "1e9"),
        (5, "rear.preload.unit", "furlong"),
        (6, "model", "Henwick"),
    ]
    assert answer.context["text"] == text
    assert "Tolva,Henwick,coil" in answer.content.decode()
    assert not CatalogueBike.objects.exists()


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   \n",
        "{",
        "[" * 100_000,
        "[]",
        "{}",
        '{"schema": 2, "bikes": []}',
        '{"schema": 1, "bikes": {}}',
        '{"schema": 1, "bikes": [1, null, "x"]}',
        '[{"make": "A"}]',
        '[{"make": ["A"], "model": {"b": 1}, "front": 7, "rear": true}]',
        '[{"make": "A", "model": "B", "front": "coil", "rear": "direct", "rake": 1e999}]',
        '[{"make": "A", "model": "B", "front": "coil", "rear": "direct", "rake": NaN}]',
        '[{"make": "A", "model": "B", "front": "coil", "rear": "direct", "year_from": 99999999999999999999}]',
        '[{"make": "A", "model": "B", "front": "coil", "rear": "direct", "rake": ' + "9" * 400 + "}]",
        '[{"make": "A", "model": "B", "front": "coil", "rear": "direct", "rake": ' + "9" * 5000 + "}]",
        '[{"make": "A", "model": "B", "front": "coil", "rear": "direct", "drop table": 1}]',
        '[{"make": "A\\u0000", "model": "B", "front": "coil", "rear": "direct"}]',
        "make",
        "make,model\nA,B",
        "make,make,model,front,rear\nA,A,B,coil,direct",
        'make,model,front,rear\n"A,B,coil,direct',
        "make,model,front,rear\nA,B,coil,direct,more,and,more",
        "make,model,front,rear\nA\x00,B,wooden,direct",
        "make,model,front,rear\n" + "A,B,x,y\n" * 2500,
        "make,model,front,rear\n" + ",,,,\n" * 10,
        "\xff\xfe\x00m",
        "\r\r\r",
        "make,model,front,rear\n" + "x" * 140_000 + ",B,coil,direct",
    ],
    ids=range(29),
)
def test_no_text_breaks_the_import(desk: Client, text: str) -> None:
    answer = desk.post(address("catalogue_import"), {"text": text})
    assert answer.status_code == 422
    assert answer.context["faults"]
    assert all(one["text"] for one in answer.context["faults"])
    assert not CatalogueBike.objects.exists()


def test_a_file_that_is_no_text_is_refused(desk: Client) -> None:
    for raw in (bytes(range(256)), b"\x89PNG\r\n", b"a" * 2_100_000):
        answer = desk.post(address("catalogue_import"), {"file": SimpleUploadedFile("x.csv", raw)})
        assert answer.status_code == 422


def test_the_columns_are_documented_on_the_page(desk: Client) -> None:
    page = desk.get(address("catalogue_import")).content.decode()
    assert [name for name in COLUMNS if f"<code>{name}</code>" not in page] == []


def test_json_says_which_version_it_is(desk: Client) -> None:
    bike()
    assert json.loads(desk.get(address("catalogue_json")).content)["schema"] == files.SCHEMA


# --- From a request ---------------------------------------------------------------------------------------------


def test_a_requests_bike_begins_a_form_for_the_tuner_to_check(desk: Client, setup_request: SetupRequest) -> None:
    case = desk.get(address("case", setup_request.reference)).content.decode()
    path = address("catalogue_add") + f"?from={setup_request.reference}"
    assert f'href="{path}"' in case
    page = desk.get(path)
    cells = {cell.name: cell.value for _about, cell in page.context["form"].cells()}
    name = setup_request.bike.name
    assert f"{cells['make']} {cells['model']}" == name
    assert cells["front"] == setup_request.bike.front
    assert float(cells["bike_mass"]) > 100
    assert setup_request.reference in cells["bike_mass.source"]
    assert not CatalogueBike.objects.exists()
    assert desk.post(address("catalogue_add"), cells).status_code == 302
    assert CatalogueBike.objects.get().name == name
    assert desk.get(address("catalogue_add") + "?from=FP-NONE-99").status_code == 404


def test_the_tuner_sees_what_came_from_the_catalogue(desk: Client, setup_request: SetupRequest) -> None:
    row = setup_request.round().readings.filter(quantity="bike_mass").get()
    type(row).objects.filter(pk=row.pk).update(method="catalogue")
    assert "from the catalogue" in desk.get(address("case", setup_request.reference)).content.decode()
