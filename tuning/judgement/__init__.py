"""The judgement: what a tuner would say of a case, from rules that are data. Knows ids and numbers, no words."""

from tuning.judgement.causes import rank as rank
from tuning.judgement.draft import assess as assess
from tuning.judgement.draft import draft as draft
from tuning.judgement.foretelling import predict as predict
