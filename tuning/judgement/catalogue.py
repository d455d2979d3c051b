"""Every id the judgement can emit, taken from its data, so that words can be tested complete against it."""

from collections.abc import Mapping

from tuning.judgement.roundbook import ROUND_RULES
from tuning.judgement.rulebook import GENERAL_CAUTIONS as GENERAL_CAUTIONS
from tuning.judgement.rulebook import PROCEDURES, RIDE_TEST, RULES, SENTENCES


def _in_order(name: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(item for kind in PROCEDURES.values() for item in getattr(kind, name)))


#: Sentence id → names of its parameters. Questions are those whose id begins with ``ask_``, stops with ``stop_``.
SAID_IDS: Mapping[str, tuple[str, ...]] = SENTENCES
#: Notes of a draft that proposes to settle the request.
SETTLED_IDS = frozenset(name for rule in ROUND_RULES if rule.does == "settle" for name in rule.says)
CHANGE_KINDS: tuple[str, ...] = tuple(PROCEDURES)
HOW_IDS = _in_order("how")
VERIFY_IDS = _in_order("verify")
#: Cautions that stand at a change, then those that stand once on every sheet.
CAUTION_IDS = tuple(dict.fromkeys(_in_order("cautions") + GENERAL_CAUTIONS))
TOOL_IDS = _in_order("tools")
#: Change kinds for which the sheet prints a blank for the owner's manual's torque.
TORQUE_KINDS = frozenset(kind for kind, row in PROCEDURES.items() if row.torque)
RIDE_TEST_IDS: tuple[str, ...] = RIDE_TEST
RULE_IDS = tuple(rule.id for rule in RULES) + tuple(rule.id for rule in ROUND_RULES)
