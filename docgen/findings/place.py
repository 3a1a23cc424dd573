"""Findings on the bay around the rail: movement, power, hazardous areas, loose solids, weather, light, people below."""

from __future__ import annotations

import math
from collections.abc import Iterator, Set

from docgen.calc import arrest
from docgen.engineering.further import slide_way
from docgen.engineering.ready import METERED, classed
from docgen.findings.common import SIDES, bays_in_use, listed, said_none, terms, worded
from docgen.findings.model import Value
from docgen.findings.rule import NOTICE, PLAN, POWER, RESCUE, finding
from docgen.findings.view import NOT_STATED, Hit, View, down, near, up
from docgen.limits import NOISE, over, under, within
from docgen.site import Bay, OverheadLine
from docgen.text.screens import found_in_any
from docgen.trade.practice import practice, practice_beside

__all__ = [
    "alternative_possible",
    "alternatives_unasked",
    "below_unstated",
    "collective_unweighed",
    "danger_untold",
    "dangerous_equipment_below",
    "energised_lines",
    "flammable_area_equipment",
    "flowing_solids",
    "lighting_unstated",
    "lightning_wait_short",
    "night_work_untold",
    "overhead_line_near",
    "overhead_line_unmeasured",
    "slow_roll_no_lock",
    "slow_slide_no_lock",
    "surface_slope_untold",
    "track_open_at_the_car",
    "vehicle_can_move",
    "water_below",
    "weather_limit_missing",
    "wind_limit_high",
]


@finding("flowing-solids", "must-fix", documents=(PLAN, NOTICE))
def flowing_solids(view: View) -> Iterator[Hit]:
    """What it looks at: loose material that can bury a person, and what keeps people out of it.

    Why: a device may not lock in it. Example: hopper hatch open over powder. Reference: common practice; grain
    handling rules know the hazard.
    """
    for bay in bays_in_use(view):
        if bay.hazards.flowing_solids is True and said_none(bay.hazards.solids_control):
            yield Hit(f"{bay.hazards.path}.flowing_solids", {"bay": bay.name})


@finding("slow-slide-no-lock", "must-fix", documents=(PLAN, NOTICE))
def slow_slide_no_lock(view: View) -> Iterator[Hit]:
    """What it looks at: sloped or curved surfaces under a device that locks on speed, and whether a barrier stands before every edge.

    Why: a slow slide over the edge may never reach that speed; the line runs out unlocked until the free fall at the edge. Where the slope is stated,
    the record works out the speed without friction and the friction from which on a slide is too slow. A barrier before every edge stops it; whether
    that is high and strong enough is looked at as of every barrier. Example: a wet tank crown of 20 degrees, edge at 1.5 ft. Reference: common
    practice, no published source.
    """
    lock = practice("lock_speed").si
    for bay in bays_in_use(view):
        hazards = bay.hazards
        slope = hazards.slope.si if hazards.slope is not None else 0.0
        vehicles = _not_closed(view, bay)
        if (hazards.sloped_surface is not True and slope <= 0) or not vehicles:
            continue
        way = slide_way(view.site, bay)
        values: dict[str, Value] = {"bay": bay.name, "speed": near(lock, "speed"), "vehicles": listed(vehicles)}
        if slope > 0 and way is not None:
            fastest = arrest.slide_speed(way.si, slope)
            reached, edge = up(fastest, "speed"), near(way)
            slow = worded("slide-never", reached=reached, edge=edge)
            values |= {"why": slow if under(fastest, lock) else worded("slide-slope", reached=reached, edge=edge)}
        else:
            values |= {"why": worded("slide-no-way") if slope > 0 else worded("slide-unmeasured")}
        yield Hit(f"{hazards.path}.sloped_surface", values)


def _not_closed(view: View, bay: Bay) -> list[str]:
    """The names of the vehicles climbed on in a bay of which not every side is said to have a barrier; a side of which nothing is said has none."""
    used = {t.vehicle for t in view.site.tasks if t.bay == bay.id and t.permission == "allowed"}
    vehicles = [v for v in view.site.vehicles if v.id in used]
    return [v.name for v in vehicles if {*SIDES, *(s.side for s in v.sides)} - {s.side for s in v.sides if s.stopped_by}]


@finding("slow-roll-no-lock", "fix-soon", documents=(PLAN, NOTICE))
def slow_roll_no_lock(view: View) -> Iterator[Hit]:
    """What it looks at: people who lie on a level surface under a device that locks on speed, and whether a barrier stands before every edge.

    Why: a slow roll over the edge may never reach that speed; the line runs out unlocked until the free fall at the edge. Example: lying at a hatch,
    edge at 1.5 ft. Reference: common practice, no published source.
    """
    lock = practice("lock_speed").si
    for bay in bays_in_use(view):
        level = bay.hazards.sloped_surface is not True and (bay.hazards.slope is None or bay.hazards.slope.si <= 0)
        lying = any(t.bay == bay.id and t.permission == "allowed" and "lying" in t.postures for t in view.site.tasks)
        if level and lying and (vehicles := _not_closed(view, bay)):
            values: dict[str, Value] = {"bay": bay.name, "speed": near(lock, "speed"), "vehicles": listed(vehicles)}
            yield Hit(f"{bay.hazards.path}.sloped_surface", values)


@finding("surface-slope-untold", "must-fix", documents=(PLAN, NOTICE))
def surface_slope_untold(view: View) -> Iterator[Hit]:
    """What it looks at: vehicles whose surface is called curved, sloped or slippery, in bays that say nothing of a slope.

    Why: a slow slide is then not looked at. Example: surface "Curved tank top, slippery when wet", sloped_surface false. Reference: common practice;
    the word list in the words of each language.
    """
    for task in (t for t in view.site.tasks if t.permission == "allowed"):
        bay, vehicle = view.bays.get(task.bay), view.vehicles.get(task.vehicle)
        if bay is None or vehicle is None or bay.hazards.sloped_surface is True or bay.hazards.slope is not None:
            continue
        caught = found_in_any(vehicle.surface, "sloped", view.languages)
        if caught:
            yield Hit(
                f"{vehicle.path}.surface",
                {"vehicle": vehicle.name, "bay": bay.name, "words": listed(c.text for c in caught)},
                about=bay.path,
            )


@finding("danger-untold", "must-fix", documents=(PLAN, RESCUE))
def danger_untold(view: View) -> Iterator[Hit]:
    """What it looks at: the dangers that may meet rescuers in each bay, against what the profile says of the bay elsewhere: a hazardous class, a meter
    for gas, material that flows, live parts.

    Why: rescuers wait for the meter or the stop only where a danger is named. Example: Class I, Division 2, and dangers: []. Reference: common practice.
    """
    for bay in bays_in_use(view):
        if not bay.dangers and f"{bay.path}.dangers" not in view.site.answered:
            continue  # asked for as a fact
        shown = {
            "hazardous-area": classed(bay) and not {"fire", "gas"} & set(bay.dangers),
            "bay-meter": not said_none(bay.meter.what) and not set(METERED) & set(bay.dangers),
            "flowing-material": bay.hazards.flowing_solids is True and "loose-solids" not in bay.dangers,
            "live-parts": not said_none(bay.electrical.energised) and "live-wire" not in bay.dangers,
        }
        if any(shown.values()):
            values: dict[str, Value] = {"bay": bay.name, "shown": terms(key for key, stands in shown.items() if stands)}
            yield Hit(f"{bay.path}.dangers", values | {"dangers": terms(bay.dangers or ("nothing",))})


def _lacking(bay: Bay, kinds: Set[str | None]) -> list[str]:
    done = {step.kind for step in bay.control.steps if not said_none(step.do)}
    lacking = [] if "brake" in done else ["brake"]
    if kinds - {"railcar", "machine"} and "chocks" not in done:
        lacking.append("chocks")
    if kinds - {"railcar"} and not done & {"lockbox", "own-lock"}:
        lacking.append("keys")
    if "railcar" in kinds and "derail" not in done:
        lacking.append("derail")
    return lacking


@finding("track-open-at-the-car", "must-fix", documents=(PLAN, NOTICE))
def track_open_at_the_car(view: View) -> Iterator[Hit]:
    """What it looks at: whether derail and blue signal come before each step that is done at a railcar.

    Why: whoever sets the brake stands at a car that another one can run into. Example: brake, chocks, then the derail. Reference: the
    order of 49 CFR part 218 subpart B (memory); common practice.
    """
    for bay in bays_in_use(view):
        if not any(
            v.kind == "railcar" for t in view.site.tasks if t.bay == bay.id for v in view.site.vehicles if v.id == t.vehicle
        ):
            continue
        kinds = [step.kind for step in bay.control.steps]
        guards = [n for n, kind in enumerate(kinds) if kind in ("derail", "blue-signal")]
        early = [n for n, kind in enumerate(kinds) if kind in ("brake", "chocks") and guards and n < guards[-1]]
        if early:
            first = bay.control.steps[early[0]]
            yield Hit(first.path, {"bay": bay.name, "step": first.do, "guard": bay.control.steps[guards[-1]].do})


@finding("vehicle-can-move", "must-fix", documents=(PLAN, NOTICE), basis="law:truck_securing")
def vehicle_can_move(view: View) -> Iterator[Hit]:
    """What it looks at: the steps that hold the vehicle still, by their kind: brake, chocks, keys, and a derail for railcars.

    Why: a vehicle that leaves drags the attached person. Example: a railcar spot without derail or flag. Reference: 29
    CFR 1910.176(f) and 1910.178(k) (memory).
    """
    for bay in bays_in_use(view):
        kinds = {
            v.kind
            for t in view.site.tasks
            if t.bay == bay.id and t.permission == "allowed" and (v := view.site.vehicle(t.vehicle))
        }
        lacking = _lacking(bay, kinds)
        if lacking:
            yield Hit(bay.control.path, {"bay": bay.name, "lacking": terms(lacking)})


@finding("energised-lines", "must-fix", documents=(PLAN, NOTICE))
def energised_lines(view: View) -> Iterator[Hit]:
    """What it looks at: live parts near a device with a wire rope line.

    Why: the line conducts. Example: bus bars beside the bay and a wire rope device. Reference: 29 CFR 1910 Subpart I,
    Appendix C.
    """
    for bay in bays_in_use(view):
        system = view.site.system_of(bay.id)
        wires = [p for p in view.site.parts(system.parts) if p.line_material == "wire rope"] if system else []
        if not said_none(bay.electrical.energised) and wires:
            yield Hit(f"{bay.electrical.path}.energised", {"bay": bay.name, "part": wires[0].id})


def _approach(line: OverheadLine) -> float:
    """Approach distance for the voltage of a line; the lowest where the voltage is not stated."""
    base, volts = practice("overhead_line_distance").si, practice("overhead_line_voltage").si
    if line.voltage is None or within(line.voltage.si, volts):
        return base
    steps = math.ceil((line.voltage.si - volts) / practice("overhead_line_step_voltage").si - NOISE)
    return base + steps * practice("overhead_line_step").si


@finding("overhead-line-near", "must-fix", documents=(PLAN, NOTICE), basis=POWER)
def overhead_line_near(view: View) -> Iterator[Hit]:
    """What it looks at: the nearest power line against the approach distance for its voltage.

    Why: people and tools reach it. Example: a line 7 ft away at 12.5 kV, 10 ft needed. Reference: 29 CFR
    1910.333(c)(3) (memory).
    """
    for bay in bays_in_use(view):
        line = bay.electrical.line
        if line.distance is not None and said_none(line.measures) and over(_approach(line), line.distance.si):
            yield Hit(
                f"{line.path}.distance",
                {"bay": bay.name, "have": down(line.distance), "need": up(_approach(line), "length")},
            )


@finding("overhead-line-unmeasured", "fix-soon", documents=(PLAN, NOTICE), basis=POWER)
def overhead_line_unmeasured(view: View) -> Iterator[Hit]:
    """What it looks at: power lines that are mentioned and not measured.

    Why: nobody can compare. Example: "a line crosses the yard", no distance. Reference: 29 CFR 1910.333(c)(3)
    (memory).
    """
    for bay in bays_in_use(view):
        electrical = bay.electrical
        if not said_none(electrical.overhead_lines) and electrical.line.distance is None:
            yield Hit(f"{electrical.path}.overhead_lines", {"bay": bay.name})


@finding("flammable-area-equipment", "must-fix", documents=(PLAN,))
def flammable_area_equipment(view: View) -> Iterator[Hit]:
    """What it looks at: devices in a classified area.

    Why: what is not suitable may be a source of ignition. Example: Class I, Division 2 and no maker's paper.
    Reference: 29 CFR 1910.307 (memory).
    """
    for bay in bays_in_use(view):
        if not said_none(bay.electrical.classified) and bay.electrical.devices_suitable is not True:
            yield Hit(
                f"{bay.electrical.path}.devices_suitable", {"bay": bay.name, "area": bay.electrical.classified or NOT_STATED}
            )


@finding("dangerous-equipment-below", "fix-soon", documents=(PLAN,))
def dangerous_equipment_below(view: View) -> Iterator[Hit]:
    """What it looks at: machinery or open tanks under the work.

    Why: any contact is worse, and the duty starts lower. Example: a screw conveyor beside the bay. Reference: 29 CFR
    1910.28(b)(6) (memory).
    """
    for bay in bays_in_use(view):
        if bay.hazards.dangerous_equipment_below is True:
            yield Hit(f"{bay.hazards.path}.dangerous_equipment_below", {"bay": bay.name})


@finding("water-below", "fix-soon", documents=(PLAN,))
def water_below(view: View) -> Iterator[Hit]:
    """What it looks at: water under the work.

    Why: a hanging or rescued person may drown. Example: a barge berth. Reference: common practice, no published
    source.
    """
    for bay in bays_in_use(view):
        if bay.hazards.water_below is True:
            yield Hit(f"{bay.hazards.path}.water_below", {"bay": bay.name})


@finding("below-unstated", "fix-soon", documents=(PLAN, NOTICE))
def below_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: how people below are kept clear and tools from falling.

    Why: a plan element that workers look for. Example: nothing said. Reference: 29 CFR 1910.28(c); common practice.
    """
    for bay in bays_in_use(view):
        if bay.below is None:
            yield Hit(f"{bay.path}.below", {"bay": bay.name})


@finding("weather-limit-missing", "must-fix", documents=(PLAN, NOTICE))
def weather_limit_missing(view: View) -> Iterator[Hit]:
    """What it looks at: wind, gust, lightning and ice limits where a bay is not indoors.

    Why: nobody knows when to stop. Example: no wind speed. Reference: common practice, no published source.
    """
    if not any(b.setting != "indoor" for b in bays_in_use(view)):
        return
    weather = view.site.limits.weather
    lacking = [n for n in ("wind", "gust", "lightning_wait", "ice") if getattr(weather, n) is None]
    if lacking:
        yield Hit(weather.path, {"lacking": terms(lacking)})


@finding("wind-limit-high", "fix-soon", documents=(PLAN, NOTICE))
def wind_limit_high(view: View) -> Iterator[Hit]:
    """What it looks at: the steady wind at which climbing stops, against that of a gale, where a bay is not indoors.

    Why: in a gale walking is hard on the ground already. Exactly there is let pass. Example: 60 mph. Reference: Beaufort scale of the WMO, force 8, "generally impedes
    progress" (memory).
    """
    wind = view.site.limits.weather.wind
    if wind is None:
        return
    most = practice_beside("wind_most", wind.unit, view.system, view.site.country)
    if over(wind.si, most.si) and any(b.setting != "indoor" for b in bays_in_use(view)):
        yield Hit(wind.path, {"wind": near(wind), "most": most.text, "source": most.source})


@finding("lightning-wait-short", "must-fix", documents=(PLAN, NOTICE))
def lightning_wait_short(view: View) -> Iterator[Hit]:
    """What it looks at: the wait after the last thunder against the usual one.

    Why: strikes come after the storm has passed. Example: 15 min. Reference: OSHA and NOAA lightning fact sheet (read
    as carried by a state agency).
    """
    wait, least = view.site.limits.weather.lightning_wait, practice("lightning_wait")
    if wait is not None and over(least.si, wait.si):
        yield Hit(wait.path, {"wait": near(wait), "least": near(least.si, "time")})


@finding("night-work-untold", "must-fix", documents=(PLAN,))
def night_work_untold(view: View) -> Iterator[Hit]:
    """What it looks at: bays of which it is not said that people climb there in the dark, where a night shift climbs.

    Why: light for edges and hooks is then asked of nobody, and nothing keeps the night shift out of that bay. Example: night_work false, and people climb on the night
    shift. Reference: common practice, no published source.
    """
    night = [s.name or s.id for s in view.site.shifts if s.night and s.climbing]
    for bay in bays_in_use(view) if night else ():
        if bay.lighting.night_work is not True:
            yield Hit(f"{bay.lighting.path}.night_work", {"bay": bay.name, "shifts": listed(night)})


@finding("lighting-unstated", "advice", documents=(PLAN,))
def lighting_unstated(view: View) -> Iterator[Hit]:
    """What it looks at: a light level where people climb in the dark.

    Why: edges and hooks must be seen. Example: night work, no figure. Reference: common practice, no published source.
    """
    night = any(s.night and s.climbing for s in view.site.shifts)
    for bay in bays_in_use(view):
        if (bay.lighting.night_work is True or (night and bay.lighting.night_work is None)) and bay.lighting.level is None:
            yield Hit(f"{bay.lighting.path}.level", {"bay": bay.name})


@finding("alternatives-unasked", "fix-soon", documents=(PLAN,), basis="law:order_of_means")
def alternatives_unasked(view: View) -> Iterator[Hit]:
    """What it looks at: whether ground, platform, guardrail or restraint were asked about.

    Why: arrest comes last. Example: a task with no alternatives. Reference: common practice; the order in the law
    where it gives one.
    """
    for task in view.site.tasks:
        if task.permission == "allowed" and not task.alternatives:
            yield Hit(f"{task.path}.alternatives", {"task": task.id})


def _possible(text: str | None) -> bool:
    return text is not None and text.strip().casefold().rstrip(".") == "possible"


@finding("alternative-possible", "fix-soon", documents=(PLAN,), basis="law:order_of_means")
def alternative_possible(view: View) -> Iterator[Hit]:
    """What it looks at: a way without fall arrest that the profile itself calls possible.

    Why: then it comes first. Example: ground: possible, and the task is still done from the deck. Reference: common
    practice.
    """
    for task in view.site.tasks:
        ways = [n for n in ("ground", "platform", "guardrail", "restraint") if _possible(getattr(task.alternatives, n))]
        if task.permission == "allowed" and ways:
            yield Hit(f"{task.alternatives.path}.{ways[0]}", {"task": task.id, "way": terms(ways[:1])})


#: How the law of a place calls what keeps everyone from the edge, and what it puts after that.
COLLECTIVE = ("guardrail", "passive-protection", "collective-first", "fall-prevention-device", "prevent-the-fall")


@finding("collective-unweighed", "fix-soon", documents=(PLAN,), basis="law:order_of_means")
def collective_unweighed(view: View) -> Iterator[Hit]:
    """What it looks at: whether a task that weighs other ways says why a guardrail is not used, where the law of the place puts it before
    fall arrest; a platform counts too where the law speaks of collective means.

    Why: it is the first thing that an inspector asks for. Example: in Alberta, ground and restraint weighed and no guardrail. Reference: the law
    of the place.
    """
    held = view.binding.held_to("order_of_means")
    order = held.value if held is not None and isinstance(held.value, tuple) else ()
    first = next((means for means in order if means in COLLECTIVE), None)
    for task in view.site.tasks if first is not None else ():
        ways = ("guardrail",) if first == "guardrail" else ("guardrail", "platform")
        if task.permission == "allowed" and task.alternatives and not any(getattr(task.alternatives, w) for w in ways):
            way = worded("a-guardrail") if first == "guardrail" else worded("a-guardrail-or-platform")
            yield Hit(f"{task.alternatives.path}.guardrail", {"task": task.id, "way": way})
