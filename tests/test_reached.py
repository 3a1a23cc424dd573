"""The list of calculations that a site reaches: what runs is seen, and nothing of docgen/calc is counted by its name alone."""

from reached import called, reached, used_by
from reference import reference
from support import demo_anew

from docgen.calc import arrest, climb
from docgen.calc.catalogue import catalogue


def test_what_runs_is_seen():
    """A calculation that runs inside another one counts; one that does not run does not."""
    assert used_by(lambda: climb.protected_height(7.3, 1.5, 0.0, 1.07, 0.3, 0.0, 0.6)) >= {
        "climb.protected_height", "clearance.required_below_surface",
    }  # fmt: skip
    assert used_by(lambda: arrest.lock_distance(1.37)) == {"arrest.lock_distance"}
    assert used_by(lambda: None) == set()


def test_the_clock_and_the_days_of_a_site_go_through_calc():
    """What decides a rescue and a due date is among the calculations that a demo reaches, and the product calls no unknown one."""
    ran = used_by(lambda: demo_anew("harrow-ridge"))
    assert ran >= {
        "rescue.detection_time", "rescue.pessimistic", "rescue.schedule", "rescue.finish_of", "rescue.gain_if_cut",
        "rescue.time_since_fall", "dates.due_date", "capacity.chain_limit", "clearance.clearance_margin",
    }  # fmt: skip
    assert called() >= {name for name in ran if name.startswith(("rescue.", "capacity."))}
    assert called() <= set(catalogue())


#: Formulas that the product calls where a site has what no demo has: a lanyard.
ELSEWHERE = {"lanyard.free_fall", "lanyard.required_below_surface"}


def test_every_formula_is_reached():
    """All demos together reach each formula, but for those that the product calls for a site that no demo is; none is kept for its own sake."""
    found = set().union(*reached().values())
    assert set(catalogue()) - found == ELSEWHERE
    assert called() >= ELSEWHERE
    assert not set(catalogue()) & set(reference())
