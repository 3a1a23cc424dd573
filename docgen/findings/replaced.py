"""Findings on what was replaced: evidence of another serial number, training on what is new, ids that are used again."""

from __future__ import annotations

from collections.abc import Iterator

from docgen.findings.common import listed, terms
from docgen.findings.rule import PLAN, RESCUE, finding
from docgen.findings.view import Hit, View
from docgen.site.retired import COLLECTIONS

__all__ = ["evidence_carried", "replaced_untrained", "replacement_undocumented", "retired_in_use"]

WORN = ("srd", "lanyard", "harness")  # what climbers handle; of a rescue kit the rescuers
EVIDENCE = {"serial": "serial", "label_photo": "label_photo", "manual": "instructions"}  # field -> what it is called
KITS = ("rescue-kit", "platform")


@finding("evidence-carried", "must-fix", documents=(PLAN,))
def evidence_carried(view: View) -> Iterator[Hit]:
    """What it looks at: serial number, photograph of the label and day of first use of a part against those of the part that it replaced, by
    the list of what is retired and by the profile of the newest revision; and its last inspection.

    Why: the evidence belongs to another piece. Example: new serial number, old label photograph. Reference: common practice, no published
    source.
    """
    for part in view.site.equipment:
        old = next((r for r in view.site.retired if r.of == "part" and r.by == part.id), None)
        if old is not None:
            if part.serial is not None and part.serial == old.serial:
                yield Hit(f"{part.path}.serial", {"part": part.id, "what": terms(("serial",)), "old": old.id})
            if part.label_photo is not None and part.label_photo == old.label_photo:
                yield Hit(f"{part.path}.label_photo", {"part": part.id, "what": terms(("label_photo",)), "old": old.id})
        swap = view.swapped.get(part.id)
        if swap is None:
            continue
        for name in swap.kept:
            yield Hit(f"{part.path}.{name}", {"part": part.id, "what": terms((name,)), "old": swap.serial})
        look = view.happened.inspection_of(part.id)
        if look is not None and look.serial is None and look.on <= swap.issued:
            yield Hit(look.path, {"part": part.id, "what": terms(("inspection",)), "old": swap.serial}, about=part.path)


@finding("replaced-untrained", "must-fix", documents=(PLAN, RESCUE), stops="use")
def replaced_untrained(view: View) -> Iterator[Hit]:
    """What it looks at: devices, lanyards, harnesses and rescue kits that took the place of others, against later training of the people who
    use them.

    Why: another model is hooked up, checked and worked otherwise. Training on the day itself counts. Example: device replaced on 2026-11-10,
    last training on 2026-09-02. Reference: 29 CFR 1910.30(c)(2) (memory).
    """
    for old in view.site.retired:
        part = view.site.part(old.by) if old.of == "part" else None
        if part is None or old.on is None or view.ahead(old.on):
            continue
        if part.kind in WORN:
            last = {u.id: view.happened.training_of(u.id) for u in view.site.people.users}
        elif part.kind in KITS:
            last = {r.id: view.happened.practical_of(r.id) for r in view.site.people.rescuers}
        else:
            continue
        late = [key for key, entry in last.items() if entry is None or entry.on is None or entry.on < old.on]
        if late:
            yield Hit(old.path, {"part": part.id, "old": old.id, "on": old.on, "people": listed(late)}, about=part.path)


@finding("replacement-undocumented", "must-fix", documents=(PLAN,))
def replacement_undocumented(view: View) -> Iterator[Hit]:
    """What it looks at: serial number, photograph of the label and instructions of a part that took the place of another that had them.

    Why: without them nobody knows which piece hangs there and how it may be used. Example: a new device, its manual not yet named. Reference:
    common practice, no published source.
    """
    for old in view.site.retired:
        part = view.site.part(old.by) if old.of == "part" else None
        if part is not None and (
            lacks := [said for n, said in EVIDENCE.items() if getattr(old, n) is not None and getattr(part, n) is None]
        ):
            yield Hit(part.path, {"part": part.id, "old": old.id, "what": terms(lacks)})


@finding("retired-in-use", "must-fix", documents=(PLAN,))
def retired_in_use(view: View) -> Iterator[Hit]:
    """What it looks at: ids of what is retired against those in use, and whether what took its place is in the profile.

    Why: the log would give the past of one thing to another. Example: D-1 is retired and listed under equipment. Reference: document control.
    """
    site = view.site
    live = {
        "equipment": {p.id for p in site.equipment}, "vehicles": {v.id for v in site.vehicles},
        "users": {u.id for u in site.people.users}, "rescuers": {r.id for r in site.people.rescuers},
    }  # fmt: skip
    gone = [(r.of, r.id) for r in site.retired]
    for old in site.retired:
        if old.id in live[COLLECTIONS[old.of]] or gone.count((old.of, old.id)) > 1:
            yield Hit(f"{old.path}.id", {"id": old.id})
