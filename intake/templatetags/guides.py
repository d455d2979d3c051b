"""Drawings and measuring guides in templates."""

from django import template
from django.utils.safestring import SafeString

from intake.guides import Guide, guide_of_name
from intake.guides.pictures import picture
from intake.steps.form import DrawnField, DrawnGroup

register = template.Library()


@register.simple_tag
def drawing(name: str, uid: str = "") -> SafeString:
    """Draw a picture of ``intake.guides.pictures``; ``uid`` keeps its ids apart where it stands twice on a page."""
    return picture(name, uid)


@register.filter
def with_guides(group: DrawnGroup) -> list[tuple[Guide | None, DrawnField]]:
    """Return the fields of a group, each with the guide to be offered before it: a guide stands at the first field
    of the group that it is for."""
    told: set[str] = set()
    rows: list[tuple[Guide | None, DrawnField]] = []
    for drawn in group.fields:
        guide = guide_of_name(drawn.spec.name)
        fresh = guide is not None and guide.id not in told
        if guide is not None:
            told.add(guide.id)
        rows.append((guide if fresh else None, drawn))
    return rows
