"""Signals of the intake, so that the layers above can follow without being imported."""

from django.dispatch import Signal

#: Sent inside the settling transaction with ``request``: the SetupRequest that was settled.
request_settled = Signal()
#: Sent inside the erasing transaction with ``request``: the SetupRequest whose client asked to be forgotten.
request_erased = Signal()
