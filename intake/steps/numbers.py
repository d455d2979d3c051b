"""How a field reads a number with its unit."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from intake import doubts, typed, words
from intake.presentation import amount
from tuning.engine.units import from_canonical


class NumberField(forms.CharField):
    """A number with its unit, read by ``intake.typed``. Cleans to ``Typed``, or None when nothing was typed.

    low, high: canonical limits; usual: where most such numbers lie, canonical, for what else may have been meant.
    """

    def __init__(
        self,
        *,
        dimension: str,
        unit: str,
        low: float | None,
        high: float | None,
        usual: tuple[float, float] | None = None,
        client: object = None,
        **options: Any,
    ) -> None:
        super().__init__(**options)
        self.dimension, self.unit, self.low, self.high, self.usual = dimension, unit, low, high, usual

    def clean(self, value: Any) -> typed.Typed | None:
        text = super().clean(value)
        if not text.strip():
            return None
        try:
            number = typed.parse(text, self.dimension, self.unit, (self.low, self.high))
        except typed.NotANumber as problem:
            raise ValidationError(words.not_a_number(problem, self.unit)) from problem
        if (self.low is not None and number.canonical < self.low) or (
            self.high is not None and number.canonical > self.high
        ):
            raise ValidationError(self._beyond(number))
        return number

    def _beyond(self, number: typed.Typed) -> str:
        """Return why a number cannot be, in the unit it was typed in, and what else it may have been."""
        shown = {
            "typed": amount(number.value, number.unit, 3),
            "low": self._limit(self.low, number.unit),
            "high": self._limit(self.high, number.unit),
        }
        others = words.with_units(number.value, self._others(number))
        if others:
            return _(
                "%(typed)s cannot be right here: it must lie between %(low)s and %(high)s. Did you mean %(others)s? Then "
                "write the unit behind the number; if not, please measure again."
            ) % {**shown, "others": others}
        return (
            _("%(typed)s cannot be right here: it must lie between %(low)s and %(high)s. Please measure again.")
            % shown
        )

    def _others(self, number: typed.Typed) -> tuple[str, ...]:
        band = self.usual or (self.low, self.high)
        if number.written or band[0] is None or band[1] is None:
            return ()
        return doubts.units_that_fit(number.value, number.unit, self.dimension, (band[0], band[1]))

    def _limit(self, canonical: float | None, unit: str) -> str:
        return "–" if canonical is None else amount(from_canonical(canonical, unit), unit)
