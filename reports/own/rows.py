"""Which rows belong to a request, found by the relations of the models themselves."""

from collections.abc import Iterator
from functools import cache
from typing import Any

from django.apps import apps
from django.db import models
from django.db.models import QuerySet

from intake.models import Client, SetupRequest, User
from intake.personal import OUR_APPS

#: What stays of a request that is erased, blanked: that there was one, when things happened, and what a settled case
#: teaches. Everything else is deleted.
KEPT = ("intake.SetupRequest", "intake.Client", "intake.Bike", "intake.Event", "desk.SettledCase")
_OF_THEMSELVES = {"intake.SetupRequest": "pk", "intake.Client": "request"}


def label_of(model: type[models.Model]) -> str:
    return f"{model._meta.app_label}.{model.__name__}"


@cache
def ways() -> dict[str, str]:
    """Return, per model that belongs to a request, the lookup that leads to it, the shortest where there are more."""
    found = dict(_OF_THEMSELVES)
    ours = [model for name in OUR_APPS for model in apps.get_app_config(name).get_models()]
    # Each turn finds the models one relation farther away.
    while True:
        more = {}
        for model in ours:
            if label_of(model) in found or model is User:
                continue
            for field in _relations(model):
                beyond = found.get(label_of(field.related_model))
                if beyond and field.related_model is not Client:
                    more[label_of(model)] = field.name if beyond == "pk" else f"{field.name}__{beyond}"
                    break
        if not more:
            return found
        found |= more


def _relations(model: type[models.Model]) -> Iterator[Any]:
    for field in model._meta.get_fields():
        if isinstance(field, models.ForeignKey) and field.related_model not in {model, User}:
            yield field


@cache
def dependents_first() -> tuple[str, ...]:
    """Return the models of ``ways`` so that each stands before those it points to."""
    ordered: list[str] = []

    def put(label: str) -> None:
        if label in ordered:
            return
        for other in ways():
            if any(label_of(field.related_model) == label for field in _relations(apps.get_model(other))):
                put(other)
        ordered.append(label)

    for label in sorted(ways()):
        put(label)
    return tuple(ordered)


def of_request(label: str, request: SetupRequest) -> QuerySet[Any]:
    """Return the query of a model's rows that belong to a request, oldest first."""
    model: Any = apps.get_model(label)
    lookup = ways()[label]
    rows: QuerySet[Any] = model.objects.filter(**{lookup: request.pk})
    return rows.order_by("pk")


def file_names(request: SetupRequest) -> list[str]:
    """Return the names of all files that belong to a request."""
    names = []
    for label in dependents_first():
        for field in apps.get_model(label)._meta.get_fields():
            if isinstance(field, models.FileField):
                names += [name for name in of_request(label, request).values_list(field.name, flat=True) if name]
    return names
