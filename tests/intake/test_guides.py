"""The measuring guides: there is one for everything the form asks, and their drawings are sound.

Lists are taken from the code: the steps' fields, the guides, the pictures. How wide a text is set is measured in the
face of the drawings, from the font file that ships.
"""

import gzip
import html
import re
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

import pytest
from django.contrib.messages import constants
from django.contrib.messages.storage.base import Message
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse
from fontTools.ttLib import TTFont

from intake import guides
from intake.choices import Step
from intake.guides import BY_ID, GUIDES, adjusters, details, guide_for, guide_of_name, parts, sheet, whole
from intake.guides.pictures import PICTURES, picture
from intake.guides.svg import BOLD, FINE, OUTLINE, Label, Pen
from intake.steps import PAGES, At
from intake.steps.fields import Choice, Field, Measure, Number
from intake.words import KIND_NAMES
from reports.typefaces import FOLDER
from tests.intake.at_form import address, begin
from tuning.engine.quantities import QUANTITIES

SVG = "{http://www.w3.org/2000/svg}"
#: What stands in a drawing in every language: names of lengths, digits, the letters on a tyre.
SIGNS = re.compile(r"[\d .,]+|L\d?([–, ]+L\d)*|DOT")
#: Questions whose answer is looked up on the bike.
LOOKED_AT = {"ring", "settle"}


@pytest.fixture
def at(client: Client, db: None) -> At:
    request = begin(client)
    return At(request, request.rounds.get(number=1))


def asked(at: At) -> list[Field]:
    return [spec for page in PAGES.values() for spec in page.specs(at)]


def measured(at: At) -> list[Field]:
    """Return the fields whose answer is measured, counted or read off the bike."""
    return [
        spec
        for spec in asked(at)
        if isinstance(spec, Number)
        or spec.name.partition(".")[2].startswith("mode")
        or (isinstance(spec, Choice) and spec.question in LOOKED_AT)
    ]


# --- Guides -------------------------------------------------------------------------------------------------------


def test_everything_the_form_has_measured_has_a_guide(at: At) -> None:
    fields = measured(at)
    assert len(fields) > 60
    assert [spec.name for spec in fields if guide_of_name(spec.name) is None] == []
    for spec in fields:
        if isinstance(spec, Measure):
            guide = guide_for(spec.quantity, spec.end, spec.approach)
            assert guide is not None
            assert guide is guide_of_name(spec.name)
            assert guide.end in {"", spec.end}


def test_a_field_that_is_not_measured_has_none(at: At) -> None:
    names = {spec.name for spec in asked(at)}
    for name in ("name", "consent", "discipline", "load_state", "bottomed.front", "s.brake_dive"):
        assert name in names
        assert guide_of_name(name) is None


def test_what_guides_are_for_exists() -> None:
    known = set(QUANTITIES) | set(KIND_NAMES) | LOOKED_AT
    assert [name for guide in GUIDES for name in guide.measures if name not in known] == []


def test_readings_taken_twice_have_the_guide_for_friction() -> None:
    for end in ("front", "rear"):
        for quantity in ("length_bike_alone", "length_rider_aboard"):
            assert guide_of_name(f"{quantity}.{end}.from_below") is BY_ID["friction"]
            assert guide_of_name(f"{quantity}.{end}") is not BY_ID["friction"]


def test_the_ends_differ_where_they_are_measured_differently() -> None:
    assert guide_of_name("length_topped_out.front") is BY_ID["topped-out-front"]
    assert guide_of_name("length_topped_out.rear") is BY_ID["topped-out-rear"]
    assert guide_of_name("deepest_normal.rear") is BY_ID["ring-rear"]


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.id)
def test_a_guide_is_short_and_whole(guide: guides.Guide) -> None:
    assert 3 <= len(guide.lines) <= 6
    assert all(3 <= len(str(line).split()) <= 36 for line in guide.lines)
    assert guide.tools
    assert str(guide.alone)
    assert guide.picture in PICTURES
    assert len(guide.cautions) <= 2


def test_no_guide_gives_a_torque() -> None:
    told = " ".join(str(text) for guide in GUIDES for text in (*guide.lines, guide.alone, *guide.cautions))
    assert not re.search(r"\d\s*(N·?m|lbf)", told)


# --- Drawings -----------------------------------------------------------------------------------------------------


def drawn(name: str) -> ElementTree.Element:
    return ElementTree.fromstring(str(picture(name)))  # noqa: S314  our own drawing


@pytest.mark.parametrize("name", PICTURES)
def test_a_drawing_has_name_and_description_and_nothing_inline(name: str) -> None:
    figure = drawn(name)
    assert figure.get("role") == "img"
    named, described = figure.find(f"{SVG}title"), figure.find(f"{SVG}desc")
    assert named is not None
    assert described is not None
    assert figure.get("aria-labelledby") == named.get("id")
    assert figure.get("aria-describedby") == described.get("id")
    assert len(str(described.text)) > 20
    for one in figure.iter():
        assert one.tag in {SVG + tag for tag in ("svg", "title", "desc", "path", "circle", "text")}
        assert not {"style", "href"} & set(one.attrib)
        assert not [key for key in one.attrib if key.startswith("on")]


@pytest.mark.parametrize("name", PICTURES)
def test_a_drawing_keeps_to_the_line_language(name: str) -> None:
    weights, inks = set(), set()
    for one in drawn(name).iter():
        weights |= {float(one.attrib["stroke-width"])} if "stroke-width" in one.attrib else set()
        inks |= {one.attrib[key] for key in ("fill", "stroke") if key in one.attrib}
    assert weights <= {FINE, OUTLINE, BOLD}
    assert inks <= {"none", "currentColor", "#fff"}


def test_every_class_of_a_drawing_is_in_the_stylesheet() -> None:
    css = Path(str(finders.find("intake/farpaddock.css"))).read_text(encoding="utf-8")
    used = {cls for name in PICTURES for one in drawn(name).iter() for cls in one.get("class", "").split()}
    assert used > {"outline", "mark", "fine", "label"}
    # "ink" is filled with the text's colour and "drawing" is the figure itself.
    assert [
        cls for cls in sorted(used - {"drawing", "ink"}) if f".drawing .{cls}" not in css and cls != "plain"
    ] == []


def pen_of(name: str) -> Pen:
    return PICTURES[name].draw()


FACES = {bold: TTFont(FOLDER / f"Barlow-{'SemiBold' if bold else 'Regular'}.ttf") for bold in (False, True)}


def box(label: Label) -> tuple[float, float, float, float]:
    """Return left, top, right, bottom of a text as set."""
    face = FACES[label.bold]
    letters, advance = face.getBestCmap(), face["hmtx"]
    wide = sum(advance[letters[ord(sign)]][0] for sign in label.text) * label.size / face["head"].unitsPerEm
    left = label.x - {"start": 0.0, "middle": wide / 2, "end": wide}[label.anchor]
    return left, label.y - 0.74 * label.size, left + wide, label.y + 0.22 * label.size


@pytest.mark.parametrize("name", PICTURES)
def test_words_lie_inside_the_drawing_and_apart(name: str) -> None:
    pen = pen_of(name)
    boxes = {label: box(label) for label in pen.labels}
    for label, (left, top, right, bottom) in boxes.items():
        assert left >= 0, label
        assert right <= pen.width, label
        assert top >= 0, label
        assert bottom <= pen.height, label
    for (one, a), (other, b) in combinations(boxes.items(), 2):
        apart = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        assert apart, (one.text, other.text)


@pytest.mark.parametrize("name", PICTURES)
def test_every_word_of_a_drawing_can_be_translated(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (whole, details, adjusters):
        monkeypatch.setattr(module, "_", lambda words: f"«{words}»")
    for label in pen_of(name).labels:
        assert label.text.startswith("«") or SIGNS.fullmatch(label.text), label.text


def coordinates(path: str) -> list[float]:
    return [float(one) for one in re.findall(r"-?\d+(?:\.\d+)?", path)]


def test_the_arrows_of_a_dimension_end_where_it_is_taken() -> None:
    pen = Pen()
    pen.dim((50, 20), (50, 120), "L", off=-30)
    heads = [coordinates(str(part).split('d="')[1]) for part in pen.parts if 'class="tip"' in part]
    # Set off by 30 to the right (the way runs down the page), both tips on the level of their points.
    assert sorted(head[:2] for head in heads) == [[80, 20], [80, 120]]


def test_a_short_dimension_is_pointed_at_from_outside() -> None:
    pen = Pen()
    pen.dim((50, 20), (50, 30), off=-30)
    heads = [coordinates(str(part).split('d="')[1]) for part in pen.parts if 'class="tip"' in part]
    assert sorted(head[:2] for head in heads) == [[80, 20], [80, 30]]
    assert min(head[3] for head in heads) < 20  # this head's back lies above the upper point


def test_the_motorcycle_stands_on_both_wheels_and_sinks_by_its_travel() -> None:
    free, loaded = (parts.Bike((60, 200), 0.1, front=front, rear=rear) for front, rear in ((0, 0), (40, 30)))
    for bike in (free, loaded):
        for axle in (bike.rear_axle, bike.front_axle):
            assert axle[1] + 0.1 * parts.TYRE == pytest.approx(200)

    def tube(bike: parts.Bike) -> float:
        return abs(complex(*bike.seal) - complex(*bike.casting))

    assert tube(free) - tube(loaded) == pytest.approx(4.0)
    sunk = (free.rear_axle[1] - free.tail_mark[1]) - (loaded.rear_axle[1] - loaded.tail_mark[1])
    assert sunk == pytest.approx(3.0, abs=0.4)  # the chassis pitches a little, so not to the tenth
    assert 1350 < 10 * (free.front_axle[0] - free.rear_axle[0]) < 1480


# --- Pages --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("guide", GUIDES, ids=lambda guide: guide.id)
def test_a_guides_page_is_open_to_everybody_and_may_be_kept(client: Client, guide: guides.Guide) -> None:
    """Without a database: nothing about anybody is read."""
    answer = client.get(reverse("intake:guide", args=[guide.id]))
    page = html.unescape(answer.content.decode())
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "public, max-age=3600"
    assert not answer.cookies
    assert "<script" not in page
    for text in (guide.title, *guide.lines, guide.alone, *guide.cautions, *guide.tools):
        assert str(text) in page


def test_the_index_leads_to_every_guide_under_its_step(client: Client) -> None:
    page = client.get(reverse("intake:guides")).content.decode()
    for guide in GUIDES:
        assert f'href="{reverse("intake:guide", args=[guide.id])}"' in page
    order = [page.index(f"<h2>{step.label}</h2>") for step in Step if any(g.step == step for g in GUIDES)]
    assert order == sorted(order)


def test_there_is_no_other_guide(client: Client) -> None:
    assert client.get("/guide/none/").status_code == 404
    assert "no-store" in client.get("/guide/none/")["Cache-Control"]


@pytest.mark.django_db
def test_a_word_kept_for_somebody_is_not_shown_on_a_page_that_is_kept(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = [Message(constants.INFO, "only for you")]
    monkeypatch.setattr("django.contrib.messages.context_processors.get_messages", lambda request: kept)
    assert "only for you" in client.get("/").content.decode()
    for path in ("/guide/", "/guide/sheet/", f"/guide/{GUIDES[0].id}/"):
        assert "only for you" not in client.get(path).content.decode()


@pytest.mark.parametrize("step", PAGES)
def test_a_step_offers_the_guide_of_each_thing_it_has_measured(client: Client, at: At, step: str) -> None:
    page = client.get(address(at.request, step)).content.decode()
    wanted = {guide_of_name(spec.name) for spec in PAGES[step].specs(at)} - {None}
    offered = set(re.findall(r'href="/guide/([a-z-]+)/"', page))
    assert offered == {guide.id for guide in wanted if guide}
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert len(ids) == len(set(ids))


def test_a_group_offers_a_guide_once(client: Client, at: At) -> None:
    page = client.get(address(at.request, "sag")).content.decode()
    # Friction is asked for at both ends, in groups of their own, four readings each.
    assert page.count('href="/guide/friction/"') == 2
    assert page.count('href="/guide/topped-out-front/"') == 1


def test_the_first_step_carries_no_drawing_and_the_heaviest_stays_light(client: Client, at: At) -> None:
    assert b'<svg class="drawing"' not in client.get(address(at.request, "safety")).content
    heaviest = max(len(gzip.compress(client.get(address(at.request, step)).content)) for step in PAGES)
    assert heaviest < 25_000


# --- The sheet for the pencil ---------------------------------------------------------------------------------------


def test_the_sheet_has_a_box_for_everything_measured_beside_the_bike(at: At) -> None:
    beside = [spec.name for step in ("rider", "settings", "sag", "travel") for spec in PAGES[step].specs(at)
              if isinstance(spec, Number)]  # fmt: skip
    # A range stands in the box beside its count; what one turn of preload does is known from the part, not the bike.
    wanted = {name for name in beside if not name.endswith((".range", ".step"))}
    assert len(wanted) > 30
    assert wanted - sheet.served() == set()


def test_the_sheets_boxes_belong_to_the_form_and_have_guides(at: At) -> None:
    names = {spec.name for spec in asked(at)}
    assert sheet.served() - names == set()
    assert {name for part in sheet.PARTS for name in part.guides} <= set(BY_ID)
    for part in sheet.PARTS:
        offered = {BY_ID[name] for name in part.guides}
        for table in part.tables:
            for row in table.rows:
                assert len(row.boxes) == len(table.columns)
                assert {guide_of_name(name) for name in row.measures} <= offered, row.label


def test_the_sheet_moves_the_bike_once_for_each_length() -> None:
    """Topped out before bike alone before rider aboard, each at one place of the sheet."""
    place = {
        quantity: {
            n for n, part in enumerate(sheet.PARTS) for table in part.tables for row in table.rows
            if any(name.startswith(quantity) for name in row.measures)
        }
        for quantity in ("length_topped_out", "length_bike_alone", "length_rider_aboard")
    }  # fmt: skip
    assert place == {"length_topped_out": {1, 2}, "length_bike_alone": {3}, "length_rider_aboard": {4}}


def test_the_sheet_is_a_page_to_print(client: Client) -> None:
    answer = client.get(reverse("intake:guide_sheet"))
    page = answer.content.decode()
    assert answer["Cache-Control"] == "public, max-age=3600"
    boxes = sum(
        bool(kind) for part in sheet.PARTS for table in part.tables for row in table.rows for kind in row.boxes
    )
    assert page.count('<td class="box">') == boxes > 40
