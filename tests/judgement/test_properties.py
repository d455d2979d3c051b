"""What holds whatever the client sends."""

from hypothesis import given
from hypothesis import strategies as st

from tests.judgement.build import dossier, knobs
from tuning.engine.vocabulary import STOP_QUESTIONS, SYMPTOM_IDS
from tuning.judgement import assess, draft
from tuning.judgement.model import Dossier
from tuning.judgement.moves import apply, undo

GEOMETRY = {"fork_position", "ride_height"}


@st.composite
def dossiers(draw: st.DrawFn) -> Dossier:
    sag = st.floats(0, 80)
    values = {
        f"{name}.{end}": draw(sag) for name in ("sag_bike_alone", "sag_rider_aboard") for end in ("front", "rear")
    }
    values["reserve_normal.front"] = draw(st.floats(0, 60))
    clicks = st.none() | st.integers(0, 20).map(float)
    turns = st.none() | st.integers(0, 14).map(float)
    rows = knobs(
        preload_front=draw(turns),
        preload_rear=draw(turns),
        rebound_front=draw(clicks),
        rebound_rear=draw(clicks),
        compression_front=draw(clicks),
        compression_rear=draw(clicks),
        fork_position=draw(st.none() | st.floats(0, 20)),
    )
    return dossier(
        values,
        adjusters=rows,
        symptoms=tuple(draw(st.lists(st.sampled_from(sorted(SYMPTOM_IDS)), max_size=3))),
        stop=draw(st.dictionaries(st.sampled_from(STOP_QUESTIONS), st.sampled_from(("yes", "unsure")), max_size=1)),
        budget=draw(st.sampled_from(("none", "springs"))),
        answers={"fluid_age": draw(st.sampled_from(("older", "under_two_years")))},
        bottomed=draw(st.sampled_from(("", "front", "rear"))),
    )


@given(dossiers())
def test_every_draft_is_safe_small_and_undone(case: Dossier) -> None:
    made = draft(case)
    assert made == draft(case)
    rows = {row.key: row for row in case.case.adjusters}
    if "yes" in case.stop_answers.values():
        assert made.stop
        assert not made.changes
    for change in made.changes:
        assert change.cautions
        assert change.how
        assert set(change.critical) <= set(change.cautions)
        if change.target is not None:
            top = rows[change.adjuster].range_counted
            assert 0 <= change.target <= (top if top is not None else 1000)
        if change.kind in GEOMETRY:
            assert change.compromise or assess(case).stands_at == "geometry"
            assert abs((change.target or 0) - (change.start or 0)) <= 3 + 1e-9
    there = apply(case.case, made.changes)
    assert apply(there, undo(made)) == case.case
