"""Signals of the desk, so that the layer above can follow without being imported."""

from django.dispatch import Signal

#: Sent inside the approving transaction with ``document``: the new ApprovedDocument.
recommendation_approved = Signal()
