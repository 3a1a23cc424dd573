"""Findings on what the rail hangs from, who stands behind it, and what else is done with it."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.findings.common import law_figure, law_text, systems_in_use, terms, worded
from docgen.findings.model import Value
from docgen.findings.rule import NOTICE, PLAN, finding
from docgen.findings.view import Hit, View, down, near, up
from docgen.limits import over
from docgen.site import Quantity, System

__all__ = [
    "anchorage_basis_missing",
    "anchorage_design_low",
    "anchorage_factor_low",
    "anchorage_load_missing",
    "anchorage_rated_low",
    "anchorage_unsupervised",
    "compatibility_unstated",
    "harness_attachment",
    "other_use_of_rail",
    "structure_unchecked",
]


@finding("anchorage-basis-missing", "must-fix", documents=(PLAN,), basis="law:anchorage_per_user")
def anchorage_basis_missing(view: View) -> Iterator[Hit]:
    """What it looks at: whether the anchorage is designed or carries the full rated strength.

    Why: one of the two must be proven. Example: neither stated. Reference: 29 CFR 1910.140(c)(13) (memory).
    """
    for system in systems_in_use(view):
        if system.anchorage.basis is None:
            yield Hit(f"{system.anchorage.path}.basis", {"system": system.id})


def _users(system: System) -> int:
    return max(system.climbers_at_once or 1, system.anchorage.designed_for_users or 1)


def _peaks(view: View, system: System) -> list[Quantity]:
    """Peak forces of the devices, or nothing where one of them states none."""
    devices = view.site.parts(system.parts, "srd")
    stated = [d.arrest_force_peak for d in devices if d.arrest_force_peak is not None]
    return stated if len(stated) == len(devices) else []


def _force(view: View, system: System) -> float | None:
    """Peak force of one arrest: the highest stated, or the law's maximum where one is unstated; never an average."""
    stated = _peaks(view, system)
    return max(q.si for q in stated) if stated else law_figure(view, "arrest_force_max")


def _need(view: View, system: System) -> float | None:
    if system.anchorage.basis == "rated-per-user":
        each = law_figure(view, "anchorage_per_user")
        return None if each is None else each * _users(system)
    factor, force = law_figure(view, "anchorage_factor"), _force(view, system)
    return None if factor is None or force is None else factor * force * _users(system)


def _asked(view: View, system: System) -> Value:
    """The strength asked for; in words where the law names no figure, or where one of its terms is not known."""
    need = _need(view, system)
    if need is not None:
        return up(need, "force")
    question = "anchorage_per_user" if system.anchorage.basis == "rated-per-user" else "anchorage_factor"
    return worded("no-figure-of-law" if view.binding.ask(question).silent else "not-computable")


@finding("anchorage-load-missing", "must-fix", documents=(PLAN,), basis="law:anchorage_per_user")
def anchorage_load_missing(view: View) -> Iterator[Hit]:
    """What it looks at: the load for which the anchorage was designed or rated.

    Why: without it nothing is proven. Example: basis engineered, no design load. Reference: 29 CFR 1910.140(c)(13)
    (memory).
    """
    for system in systems_in_use(view):
        if system.anchorage.basis is not None and system.anchorage.design_load_all_users is None:
            yield Hit(
                f"{system.anchorage.path}.design_load_all_users",
                {"system": system.id, "need": _asked(view, system)},
            )


def _force_text(view: View, system: System) -> Value:
    stated = _peaks(view, system)
    return near(max(stated, key=lambda q: q.si)) if stated else law_text(view, "arrest_force_max")


@finding("anchorage-design-low", "must-fix", documents=(PLAN,), basis="law:anchorage_factor")
def anchorage_design_low(view: View) -> Iterator[Hit]:
    """What it looks at: design load against factor x arrest force x users.

    Why: that is what the text asks of a design. Example: 2 users x 1,800 lbf x 2 = 7,200 lbf; the design says 3,600.
    Reference: 29 CFR 1910.140(c)(13)(ii) (memory).
    """
    for system in systems_in_use(view):
        load, need = system.anchorage.design_load_all_users, _need(view, system)
        if system.anchorage.basis == "engineered" and load is not None and need is not None and over(need, load.si):
            values = {
                "system": system.id,
                "load": down(load),
                "need": up(need, "force"),
                "users": _users(system),
                "factor": f"{law_figure(view, 'anchorage_factor'):g}",
                "force": _force_text(view, system),
            }
            yield Hit(f"{system.anchorage.path}.design_load_all_users", values)


@finding("anchorage-rated-low", "must-fix", documents=(PLAN,), basis="law:anchorage_per_user")
def anchorage_rated_low(view: View) -> Iterator[Hit]:
    """What it looks at: rated strength against the law's figure for each person attached.

    Why: it is per person, not per anchor. Example: 5,000 lbf for two users. Reference: 29 CFR 1910.140(c)(13)(i)
    (memory).
    """
    for system in systems_in_use(view):
        load, need = system.anchorage.design_load_all_users, _need(view, system)
        if system.anchorage.basis == "rated-per-user" and load is not None and need is not None and over(need, load.si):
            values = {
                "system": system.id,
                "load": down(load),
                "need": up(need, "force"),
                "users": _users(system),
                "each": law_text(view, "anchorage_per_user"),
            }
            yield Hit(f"{system.anchorage.path}.design_load_all_users", values)


@finding("anchorage-factor-low", "must-fix", documents=(PLAN,), basis="law:anchorage_factor")
def anchorage_factor_low(view: View) -> Iterator[Hit]:
    """What it looks at: the factor of the design against the law's.

    Why: a lower one is not an anchorage under that text. Example: factor 1.5. Reference: 29 CFR 1910.140(c)(13)(ii)
    (memory).
    """
    least = law_figure(view, "anchorage_factor")
    for system in systems_in_use(view):
        factor = system.anchorage.design_factor
        if least is not None and system.anchorage.basis == "engineered" and factor is not None and over(least, factor):
            yield Hit(
                f"{system.anchorage.path}.design_factor", {"system": system.id, "factor": f"{factor:g}", "least": f"{least:g}"}
            )


@finding("anchorage-unsupervised", "must-fix", documents=(PLAN,), basis="law:anchorage_supervision")
def anchorage_unsupervised(view: View) -> Iterator[Hit]:
    """What it looks at: a named and qualified person behind design, installation and use.

    Why: the text asks for all three. Example: engineered, supervised_by left out. Reference: 29 CFR
    1910.140(c)(13)(ii) (memory).
    """
    for system in systems_in_use(view):
        role = view.site.role(system.anchorage.supervised_by)
        named = role is not None and role.held_by is not None and role.qualification is not None
        if system.anchorage.basis == "engineered" and not named:
            yield Hit(f"{system.anchorage.path}.supervised_by", {"system": system.id})


@finding("structure-unchecked", "must-fix", documents=(PLAN,))
def structure_unchecked(view: View) -> Iterator[Hit]:
    """What it looks at: who checked the frame and foundation, and when.

    Why: a rated rail on an unchecked frame proves nothing. Example: rail rated, canopy frame not. Reference: common
    practice, no published source.
    """
    for system in systems_in_use(view):
        if system.anchorage.structure_checked_by is None or system.anchorage.structure_checked_on is None:
            yield Hit(f"{system.anchorage.path}.structure_checked_by", {"system": system.id})


@finding("compatibility-unstated", "must-fix", documents=(PLAN,), basis="law:compatibility")
def compatibility_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: a paper that says that these parts go together.

    Why: a connector may roll out, a trolley may jam. Example: trolley and device of different makers, nothing in
    writing. Reference: 29 CFR 1910.140(c)(19) (memory).
    """
    for system in systems_in_use(view):
        if system.compatibility.stated_by is None:
            yield Hit(f"{system.compatibility.path}.stated_by", {"system": system.id})


@finding("other-use-of-rail", "must-fix", documents=(PLAN, NOTICE), basis="law:exclusive_use")
def other_use_of_rail(view: View) -> Iterator[Hit]:
    """What it looks at: whether anything else hangs on the system.

    Why: it may serve fall protection only. Example: product hoses lifted with the trolley. Reference: 29 CFR
    1910.140(c)(16) (memory).
    """
    for system in systems_in_use(view):
        if system.fall_protection_only is False:
            yield Hit(f"{system.path}.fall_protection_only", {"system": system.id})


@finding("harness-attachment", "must-fix", documents=(PLAN,), basis="law:harness_attachment")
def harness_attachment(view: View) -> Iterator[Hit]:
    """What it looks at: the D-ring that is used against the back one that every case here computes.

    Why: the body turns otherwise. Example: the card says front ring, the plan computes the back. Reference: 29 CFR
    1910.140(c)(22) (memory).
    """
    for system in systems_in_use(view):
        if system.attachment not in (None, "dorsal"):
            yield Hit(f"{system.path}.attachment", {"at": system.id, "ring": terms((system.attachment,))})
        for harness in view.site.parts(system.harnesses):
            if harness.attachment not in (None, "dorsal"):
                yield Hit(f"{harness.path}.attachment", {"at": harness.id, "ring": terms((harness.attachment,))})
