"""What a measuring guide is made of, and the tools that guides name."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy as _

from intake.choices import Step


@dataclass(frozen=True, kw_only=True)
class Guide:
    """One thing to measure.

    measures: the quantities and adjuster kinds it is for; end: "" where one guide serves both ends; approach: only
    for readings taken twice. picture: a drawing of ``intake.guides.pictures``.
    """

    id: str
    title: Any
    picture: str
    step: Step
    lines: Sequence[Any]
    alone: Any
    tools: Sequence[Any]
    cautions: Sequence[Any] = ()
    measures: tuple[str, ...] = ()
    end: str = ""
    repeated: bool = False


TAPE = _("tape measure")
PHONE = _("phone")
FRAME_STAND = _("stand or jack for frame or engine")
MASKING = _("adhesive tape and a pen")
CALIPER = _("caliper or steel rule")
SCREWDRIVER = _("screwdriver that fits the slot")
