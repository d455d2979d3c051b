"""Writing the catalogue, with a trail of who changed what."""

from collections.abc import Mapping
from typing import Any

from django.db import IntegrityError, transaction

from intake.catalogue.rows import Cell, read, row_of
from intake.models import CatalogueBike, CatalogueChange, User
from tuning.engine.errors import EngineInputError, Fault


class Stale(Exception):
    """Somebody changed the bike since it was opened; ``now`` is what stands."""

    def __init__(self, now: CatalogueBike) -> None:
        super().__init__(f"{now} is at version {now.version}")
        self.now = now


def changed_columns(before: Mapping[str, Cell], after: Mapping[str, Cell]) -> dict[str, list[Cell]]:
    """Return what stood and what stands, for each column that differs."""
    return {name: [before.get(name), after[name]] for name in after if before.get(name) != after[name]}


@transaction.atomic
def save(
    bike: CatalogueBike, row: Mapping[str, Any], by: User | None, *, base: int | None = None, imported: bool = False
) -> CatalogueChange | None:
    """Put a row into a bike and save it, with its line in the trail; None where nothing differs.

    base: the version the row was made from. Raises EngineInputError with every fault, or Stale.
    """
    before: dict[str, Cell] = {}
    if bike.pk is not None:
        bike = CatalogueBike.objects.select_for_update().get(pk=bike.pk)
        if base is not None and bike.version != base:
            raise Stale(bike)
        before = row_of(bike)
    faults = read(row, bike)
    if not faults and _taken(bike):
        faults = [Fault("model", bike.model, "exists")]
    if faults:
        raise EngineInputError(faults)
    columns = changed_columns(before, row_of(bike))
    if not columns:
        return None
    fresh = bike.pk is None
    bike.version += 0 if fresh else 1
    bike.changed_by = by
    try:
        with transaction.atomic():
            bike.save()
    except IntegrityError as error:  # the other one was faster
        raise EngineInputError([Fault("model", bike.model, "exists")]) from error
    kind = CatalogueChange.Kind.ADDED if fresh else CatalogueChange.Kind.CHANGED
    return CatalogueChange.objects.create(
        bike=bike, name=bike.name, kind=kind, imported=imported, columns=columns, by=by
    )


def _taken(bike: CatalogueBike) -> bool:
    others = CatalogueBike.objects.filter(make=bike.make, model=bike.model, year_from=bike.year_from)
    return others.exclude(pk=bike.pk).exists()


@transaction.atomic
def remove(bike: CatalogueBike, by: User | None) -> None:
    """Take a bike out of the catalogue. Requests that were filled in from it keep what they have."""
    columns = {name: [cell, None] for name, cell in row_of(bike).items() if cell is not None}
    kind = CatalogueChange.Kind.REMOVED
    CatalogueChange.objects.create(bike=bike, name=bike.name, kind=kind, columns=columns, by=by)
    bike.delete()
