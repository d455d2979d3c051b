"""Which changes bring a case's values into their bands: fewest and least invasive first, or why none do.

Order: by effort, the sum of what each lever costs in trouble (preload by adjuster 1; fork position, ride height 2;
oil level or a spacer 4; fork springs 8; shock spring 16), so that one lever that opens the fork outweighs three that
do not; then by how many levers move, by margin in hundredths, by the shorter way in steps, and by the levers' order.
No answer holds another: with any of its levers left alone no place of the rest meets all.

Sags and reserves of an end hang on that end's levers alone: each end is searched by itself and the two combined; only
geometry, braking and the ratio of frequencies are searched over both. At most MOST_ROWS rows are worked; the same
problem has the same answers. Point values find, the 95 % intervals then judge the first few.
"""

from collections.abc import Iterator

import numpy as np

from tuning.engine.derivation import ENGINE_VERSION
from tuning.engine.quantities import ENDS
from tuning.engine.rates import added_loads
from tuning.engine.reserve import censored
from tuning.engine.serial import input_hash
from tuning.engine.solve_answers import CannotJudge, Reason, Solutions
from tuning.engine.solve_answers import solutions_to_json as solutions_to_json
from tuning.engine.solve_intervals import judged_by_intervals
from tuning.engine.solve_problem import TARGETS, Problem, require_solvable
from tuning.engine.solve_problem import Band as Band
from tuning.engine.solve_problem import Client as Client
from tuning.engine.solve_problem import Limits as Limits
from tuning.engine.solve_problem import Parts as Parts
from tuning.engine.solve_problem import problem_from_json as problem_from_json
from tuning.engine.solve_reason import reason_of
from tuning.engine.solve_tell import answers, end_of, outcomes, search
from tuning.engine.solve_values import Teller
from tuning.engine.whatif import Model, model_of

#: Answers that are judged by their 95 % intervals.
JUDGED = 5


def solve(problem: Problem, *, uncertain: bool = True) -> Solutions:
    """Return the sets of changes that meet all targets that can be judged, or the reason why there is none.

    Raises EngineInputError with every fault of the case and of what is asked. ``uncertain`` False leaves out the
    intervals and verdicts, for an answer in a fraction of the time.
    """
    require_solvable(problem)
    model = model_of(problem.case, uncertain=False)
    teller = Teller(model, problem.targets)
    cannot = tuple(_cannot_judge(model, teller))
    unknown = {one.target for one in cannot}
    keys = tuple(key for key in TARGETS if key in problem.targets and key not in unknown)
    as_found = outcomes(teller, teller.judge(keys, (), np.zeros((1, 0), dtype=np.intp)), 0)
    found = search(problem, model, teller, keys)
    solutions = answers(found, list(found.found)) if keys else []
    reason, compromise = None, None
    if not keys:
        reason = Reason("nothing_to_judge")
    elif not solutions:
        reason, compromise = reason_of(found)
        if compromise.meets:
            # A coarse search passed it by; the look for the nearest did not.
            solutions, reason, compromise = [compromise], None, None
    if uncertain and (solutions or compromise):
        sure = model_of(problem.case)
        solutions = [judged_by_intervals(sure, one) for one in solutions[:JUDGED]] + solutions[JUDGED:]
        compromise = judged_by_intervals(sure, compromise) if compromise else None
    return Solutions(
        engine_version=ENGINE_VERSION,
        input_hash=input_hash(problem.case),
        as_found=as_found,
        solutions=tuple(solutions),
        compromise=compromise,
        reason=reason,
        cannot_judge=cannot,
        barred=found.barred,
        evaluations=teller.rows,
        complete=found.complete,
    )


def _cannot_judge(model: Model, teller: Teller) -> Iterator[CannotJudge]:
    """Yield the targets that nothing can be foretold of, with what would have to be read."""
    levelled = {
        end
        for end, kind in (("front", model.pack.front_architecture), ("rear", model.pack.rear_architecture))
        if kind == "semi_active"
    }
    for key in (key for key in TARGETS if key in teller.targets):
        end = end_of(key)
        if key != "clearance.front" and levelled & ({end} if end else set(ENDS)):
            yield CannotJudge(key, "levelling")
        elif not teller.known(key):
            lacking = tuple(_lacking(model, key))
            yield CannotJudge(key, "unresolved" if _unresolved(lacking) else "not_read", lacking)
        elif key.startswith("reserve_"):
            ride = key.split("_")[1].partition(".")[0]
            if bool(censored(model.pack, end, ride)[0, 0]):
                yield CannotJudge(key, "censored", (f"deepest_{ride}.{end}",))


def _unresolved(lacking: tuple[str, ...]) -> bool:
    """Return whether nothing is missing but springs that the sags, read as they are, do not tell."""
    return bool(lacking) and all(name.startswith("spring_rate.") for name in lacking)


def _lacking(model: Model, key: str) -> Iterator[str]:
    given, end = model.pack.given, end_of(key)
    if key == "clearance.front":
        yield from (name for name in ("bodywork_gap.front", "stroke.front") if not given(name).all())
        return
    for name in (end,) if end else ENDS:
        yield from _springs_lack(model, name)
    if key.startswith("reserve_"):
        ride = key.split("_")[1].partition(".")[0]
        if not given(f"deepest_{ride}.{end}").all():
            yield f"deepest_{ride}.{end}"
    if not end and not key.startswith(("brake_", "ride_")):
        figures = ["rake", "ground_trail", "wheelbase"]
        if key.startswith("swingarm"):
            figures += ["swingarm_length", "swingarm_angle"]
        yield from (name for name in figures if not given(name).all())


def _springs_lack(model: Model, name: str) -> Iterator[str]:
    """Yield the readings without which an end's springs are not known; its spring rate where all are there."""
    given, end = model.pack.given, model.bike.front if name == "front" else model.bike.rear
    if np.isfinite(np.asarray(end.coil.rate)[..., 0]).all() and given(f"stroke.{name}").all():
        return
    lengths = ("length_topped_out", "length_bike_alone", "length_rider_aboard", "stroke")
    absent = [f"{length}.{name}" for length in lengths if not given(f"{length}.{name}").all()]
    if np.isnan(added_loads(model.pack)[name][:, 0]).any():
        absent.append("rider_mass")
    if given(f"spring_rate.{name}").any() and not end.levered.all():
        absent.append("leverage.rear")
    yield from absent or (f"spring_rate.{name}",)
