"""The demo's catalogue: the models that the stories' riders have, as an invented shop would know them."""

from typing import Any

from intake.catalogue import store
from intake.models import CatalogueBike, User

MAKER, PAPERS, OURS = "maker's data sheet", "owner's manual", "measured in our workshop"
#: Give or take, canonical: what a data sheet rounds to, and what bikes of one model differ by.
USUAL = {"bike_mass": 3.0, "stroke": 2.0, "rake": 0.1, "ground_trail": 1.0, "wheelbase": 5.0, "leverage": 0.1}


def bike(
    make: str,
    model: str,
    years: tuple[int, int | None],
    built: tuple[str, str],
    *rows: dict[str, Any],
    note: str = "",
) -> dict[str, Any]:
    """Return the row of one bike (columns as ``intake.catalogue.rows``)."""
    row: dict[str, Any] = {"make": make, "model": model, "year_from": years[0], "year_to": years[1], "note": note}
    row |= {"front": built[0], "rear": built[1]}
    for more in rows:
        row |= more
    return row


def figures(source: str, **known: float) -> dict[str, Any]:
    """Return the columns of figures of one source; ``stroke__front`` stands for ``stroke.front``."""
    row: dict[str, Any] = {}
    for name, value in known.items():
        key = name.replace("__", ".")
        row |= {key: value, f"{key}.half_width": USUAL.get(key.partition(".")[0]), f"{key}.source": source}
    return row


def turned(
    key: str, unit: str, place: str, counted: float | None = None, step_mm: float | None = None
) -> dict[str, Any]:
    """Return the columns of one adjuster."""
    told = {"unit": unit, "place": place, "range": counted, "step_mm": step_mm}
    return {f"{key}.{name}": value for name, value in told.items()}


def fork(preload: float | None, rebound: float, compression: float | None = None) -> dict[str, Any]:
    """Return the columns of a fork that is the same in both legs: ranges in turns and clicks."""
    row: dict[str, Any] = {}
    for leg in ("left", "right"):
        row |= turned(f"front.preload.{leg}", "turn", "cap", preload, 1.0) if preload else {}
        row |= turned(f"front.rebound.{leg}", "click", "cap", rebound)
        row |= turned(f"front.compression.{leg}", "click", "bottom", compression) if compression else {}
    return row


BIKES = (
    bike(
        "Corvane", "600 S", (2014, 2018), ("coil", "linkage"),
        figures(MAKER, bike_mass=195, stroke__front=120, stroke__rear=125, rake=24, ground_trail=97, wheelbase=1405),
        figures(PAPERS, tyre_pressure_manual__front=230, tyre_pressure_manual__rear=250, gross_mass_limit=380),
        figures(OURS, leverage__rear=2.0),
        fork(15, 22, 20),
        turned("rear.preload", "turn", "body", 14, 1.5),
        turned("rear.rebound", "click", "body", 22),
        note="The compression clickers sit under a rubber plug at the foot of each leg.",
    ),
    bike(
        "Corvane", "1000 R", (2017, 2020), ("coil", "linkage"),
        figures(MAKER, bike_mass=182, stroke__front=118, stroke__rear=125, rake=23.5, ground_trail=96, wheelbase=1410),
        figures(PAPERS, tyre_pressure_manual__front=250, tyre_pressure_manual__rear=290, gross_mass_limit=365),
        fork(15, 20, 20),
        turned("rear.preload", "turn", "body", 14, 1.0),
        turned("rear.rebound", "click", "body", 20),
        turned("rear.compression_low", "click", "body", 20),
    ),
    bike(
        "Tarnbeck", "700 N", (2020, None), ("coil", "direct"),
        figures(MAKER, bike_mass=186, stroke__front=120, stroke__rear=130, rake=24.8, ground_trail=98, wheelbase=1402),
        figures(PAPERS, tyre_pressure_manual__front=225, tyre_pressure_manual__rear=250, gross_mass_limit=370),
        figures(OURS, leverage__rear=2.6),
        fork(15, 18),
        turned("rear.preload", "step", "body", 7, 2.0),
        turned("rear.rebound", "click", "body", 20),
    ),
    bike(
        "Tarnbeck", "900 S", (2019, 2022), ("coil", "linkage"),
        figures(MAKER, bike_mass=196, stroke__front=120, stroke__rear=128, rake=24, ground_trail=97, wheelbase=1420),
        figures(PAPERS, tyre_pressure_manual__front=240, tyre_pressure_manual__rear=280),
        figures(OURS, leverage__rear=2.2),
        fork(15, 20),
        turned("rear.preload", "turn", "body", 14, 1.5),
        turned("rear.rebound", "click", "body", 22),
    ),
    bike(
        "Brenk", "Wayfarer 1100", (2017, 2021), ("coil", "linkage"),
        figures(MAKER, bike_mass=228, stroke__front=130, stroke__rear=135),
        figures(PAPERS, tyre_pressure_manual__front=250, tyre_pressure_manual__rear=290, gross_mass_limit=430),
        figures(OURS, leverage__rear=2.5),
        fork(None, 20),
        turned("rear.preload", "click", "remote", 30, 0.4),
        turned("rear.rebound", "click", "body", 24),
    ),
    bike(
        "Brenk", "Traverse 1200", (2021, None), ("semi_active", "semi_active"),
        figures(MAKER, bike_mass=252, stroke__front=200, stroke__rear=210),
        turned("front.mode", "mode", "display"),
        turned("rear.mode", "mode", "display"),
    ),
    bike(
        "Ossley", "300 E", (2021, 2023), ("coil_split", "linkage"),
        figures(MAKER, bike_mass=111, stroke__front=300, stroke__rear=310),
        turned("front.rebound.right", "click", "cap", 26),
        turned("front.compression.left", "click", "cap", 26),
        turned("rear.preload", "mm", "body", step_mm=1.0),
        turned("rear.rebound", "click", "body", 28),
    ),
    bike(
        "Marrow", "450 M", (2019, 2021), ("coil", "linkage"),
        figures(MAKER, bike_mass=112, stroke__front=255, stroke__rear=270, rake=25.5, ground_trail=92, wheelbase=1460),
        figures(OURS, leverage__rear=2.8),
        fork(None, 24, 24),
        turned("rear.preload", "mm", "body", 20, 1.0),
        turned("rear.rebound", "click", "body", 24),
    ),
    bike(
        "Hexley", "Twin 750", (1974, 1979), ("coil", "twin_shock"),
        figures(PAPERS, bike_mass=218, stroke__front=140, stroke__rear=88),
        turned("rear.preload", "step", "body", 5, 4.0),
        note="Both shocks have five notches; set them alike.",
    ),
    bike(
        "Wexholm", "Kite 650", (2016, 2019), ("coil", "linkage"),
        figures(MAKER, bike_mass=188, stroke__front=125, stroke__rear=130),
        figures(OURS, leverage__rear=2.3),
        fork(12, 20),
        turned("rear.preload", "turn", "body", 12, 1.5),
        turned("rear.rebound", "click", "body", 20),
    ),
)  # fmt: skip


def put_bikes(by: User) -> int:
    """Put the demo's bikes into the catalogue; those that are there are left as they are. Returns how many were put."""
    there = set(CatalogueBike.objects.values_list("make", "model"))
    fresh = [row for row in BIKES if (row["make"], row["model"]) not in there]
    for row in fresh:
        store.save(CatalogueBike(), row, by)
    return len(fresh)
