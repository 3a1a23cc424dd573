"""The only list of findings: name, function, severity, what it stops, documents concerned, what it rests on.

A finding function takes a `View` and yields `Hit`s. It prints nothing; its sentences lie in the words of each language,
templates/words/findings/<language>.yaml, under `findings.<name>` (title, message, action, why), with a place for each
value the hit carries.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from docgen.assess import find_anchorage as anchorage
from docgen.assess import find_chain as chain
from docgen.assess import find_contractors as contractors
from docgen.assess import find_contradictions as contradictions
from docgen.assess import find_device as device
from docgen.assess import find_drills as drills
from docgen.assess import find_equipment as equipment
from docgen.assess import find_fitness as fitness
from docgen.assess import find_geometry as geometry
from docgen.assess import find_handling as handling
from docgen.assess import find_law as law
from docgen.assess import find_logs as logs
from docgen.assess import find_people as people
from docgen.assess import find_place as place
from docgen.assess import find_postings as postings
from docgen.assess import find_private as private
from docgen.assess import find_rescue as rescue
from docgen.assess import find_rescue_gear as gear
from docgen.assess import find_review as review
from docgen.assess import find_roster as roster
from docgen.assess import find_survey as survey
from docgen.assess import find_words as text
from docgen.assess.model import Basis, Finding
from docgen.assess.view import Hit, View
from docgen.frozen import frozen

__all__ = ["RULES", "SEVERITIES", "Rule", "basis_of_practice", "find"]

SEVERITIES = ("must-fix", "fix-soon", "advice")
PLAN, NOTICE, RESCUE = "fall-protection-plan", "contractor-notice", "rescue-procedure"
ALL = (PLAN, NOTICE, RESCUE)
SRD, POWER = "standard:ANSI/ASSP Z359.14-2021|memory", "standard:29 CFR 1910.333(c)(3)|memory"


OF_US = ("ANSI", "29 CFR")  # outside that country such a finding rests on common practice
# What kind of basis a rule is that stands beside the law, by whose it is.
KIND_OF = {"site-rule": "site-rule", "voluntary": "standard", "owner": "standard", "insurer": "standard"}


@frozen
class Rule:
    """One row of the list. `rests_on` is `law:<question>`, `standard:<citation>|<basis>`, `practice` or `site-rule`."""

    name: str
    function: Callable[[View], Iterable[Hit]]
    severity: str
    stops: str
    documents: tuple[str, ...]
    rests_on: str
    acceptable: bool


def _must(name, function, documents, rests_on="practice", stops="issue", acceptable=False) -> Rule:
    return Rule(name, function, "must-fix", stops, documents, rests_on, acceptable)


def _soon(name, function, documents, rests_on="practice", stops="nothing", acceptable=True) -> Rule:
    return Rule(name, function, "fix-soon", stops, documents, rests_on, acceptable)


def _advice(name, function, documents, rests_on="practice", stops="nothing", acceptable=True) -> Rule:
    return Rule(name, function, "advice", stops, documents, rests_on, acceptable)


RULES: tuple[Rule, ...] = (
    # What was measured, find_survey
    _must("no-tasks", survey.no_tasks, ALL),
    _must("system-missing", survey.system_missing, (PLAN,)),
    _must("critical-input-missing", survey.critical_input_missing, (PLAN,)),
    _must("critical-input-assumed", survey.critical_input_assumed, (PLAN,)),
    _must("length-below-zero", survey.length_below_zero, (PLAN,)),
    _must("case-impossible", survey.case_impossible, (PLAN,)),
    _must("deflection-unknown", survey.deflection_unknown, (PLAN,)),
    _must("end-stops-missing", survey.end_stops_missing, (PLAN,)),
    _must("survey-old", survey.survey_old, (PLAN,)),
    _must("vehicle-changed", fitness.vehicle_changed, (PLAN,)),
    _soon("survey-undated", survey.survey_undated, (PLAN,)),
    _soon("datum-missing", survey.datum_missing, (PLAN,)),
    _soon("edge-unmeasured", survey.edge_unmeasured, (PLAN,)),
    _soon("posture-unstated", fitness.posture_unstated, (PLAN,)),
    _soon("posture-unmeasured", survey.posture_unmeasured, (PLAN,)),
    _soon("default-taken", survey.default_taken, (PLAN,)),
    _advice("evidence-unstated", survey.evidence_unstated, (PLAN,)),
    # Clearance, offset, angle, swing, edges, find_geometry
    _must("clearance-short", geometry.clearance_short, (PLAN, NOTICE), "law:no_contact"),
    _must("obstruction-in-path", geometry.obstruction_in_path, (PLAN, NOTICE), "law:no_contact"),
    _soon("clearance-tolerance", geometry.clearance_tolerance, (PLAN,)),
    _must("offset-over-largest", geometry.offset_over_largest, (PLAN, NOTICE), "site-rule"),
    _must("parking-over-allowance", geometry.parking_over_allowance, (PLAN, NOTICE)),
    _must("angle-over", geometry.angle_over, (PLAN, NOTICE), "law:line_angle_max"),
    _soon("angle-over-after-tolerances", geometry.angle_over_after_tolerances, (PLAN,)),
    _must("swing-into", geometry.swing_into, (PLAN,)),
    _must("obstruction-unmeasured", geometry.obstruction_unmeasured, (PLAN,)),
    _must("edge-not-rated", geometry.edge_not_rated, (PLAN,), SRD),
    _must("device-below-ring", geometry.device_below_ring, (PLAN,)),
    _must("class-one-below-ring", geometry.class_one_below_ring, (PLAN,), SRD),
    # The device and its line, find_device
    _must("line-too-short", device.line_too_short, (PLAN,)),
    _soon("line-length-unstated", device.line_length_unstated, (PLAN,)),
    _must("hook-up-late", device.hook_up_late, (PLAN, NOTICE)),
    _must("stretch-low", device.stretch_low, (PLAN,)),
    _must("margin-low", device.margin_low, (PLAN,)),
    _must("arrest-distance-implausible", device.arrest_distance_implausible, (PLAN,), "practice"),
    _soon("class-limit-over", device.class_limit_over, (PLAN,)),
    _must("free-fall-over", device.free_fall_over, (PLAN,), "law:free_fall_max"),
    _soon("free-fall-unstated", device.free_fall_unstated, (PLAN,), "law:srd_free_fall_condition"),
    _must("deceleration-over", device.deceleration_over, (PLAN,), "law:deceleration_distance_max"),
    _soon("deceleration-unstated", device.deceleration_unstated, (PLAN,), "law:deceleration_distance_max"),
    _must("arrest-force-over", device.arrest_force_over, (PLAN,), "law:arrest_force_max"),
    _soon("arrest-force-unstated", device.arrest_force_unstated, (PLAN,), "law:arrest_force_max"),
    _must("line-strength-low", device.line_strength_low, (PLAN,), "law:srd_strength_min"),
    _soon("strength-unstated", device.strength_unstated, (PLAN,), "law:connector_tensile_min"),
    # The chain of ratings and its users, find_chain
    _must("device-missing", chain.device_missing, (PLAN,)),
    _must("harness-missing", chain.harness_missing, (PLAN,)),
    _must("rating-missing", chain.rating_missing, (PLAN,)),
    _must("weakest-link", chain.weakest_link, (PLAN, NOTICE)),
    _must("posted-limit-missing", chain.posted_limit_missing, (PLAN, NOTICE)),
    _must("posted-limit-over-condition", chain.posted_limit_over_condition, (PLAN, NOTICE), "law:user_mass_condition"),
    _advice("posted-limit-at-condition", chain.posted_limit_at_condition, (PLAN, NOTICE), "law:user_mass_condition"),
    _must("lower-limit-weak", chain.lower_limit_weak, (PLAN, NOTICE), SRD),
    _must("lower-limit-missing", chain.lower_limit_missing, (PLAN, NOTICE), SRD),
    _must("user-not-cleared", chain.user_not_cleared, (PLAN,), stops="use"),
    _must("fit-lapsed", chain.fit_lapsed, (PLAN,), stops="use"),
    _soon("fit-limit-unstated", chain.fit_limit_unstated, (PLAN,)),
    _must("fit-differs-from-private", private.fit_differs_from_private, (PLAN,), stops="use"),
    _soon("private-user-unknown", private.private_user_unknown, (PLAN,)),
    _must("users-over-rail", chain.users_over_rail, (PLAN, NOTICE), "law:anchorage_per_user"),
    _soon("users-unstated", chain.users_unstated, (PLAN, NOTICE)),
    _must("shift-users-over", chain.shift_users_over, (PLAN, NOTICE)),
    _must("users-over-span", chain.users_over_span, (PLAN, NOTICE)),
    _must("rescuer-on-rail", chain.rescuer_on_rail, (RESCUE,), "law:anchorage_per_user"),
    # What the rail hangs from, find_anchorage
    _must("anchorage-basis-missing", anchorage.anchorage_basis_missing, (PLAN,), "law:anchorage_per_user"),
    _must("anchorage-load-missing", anchorage.anchorage_load_missing, (PLAN,), "law:anchorage_per_user"),
    _must("anchorage-design-low", anchorage.anchorage_design_low, (PLAN,), "law:anchorage_factor"),
    _must("anchorage-rated-low", anchorage.anchorage_rated_low, (PLAN,), "law:anchorage_per_user"),
    _must("anchorage-factor-low", anchorage.anchorage_factor_low, (PLAN,), "law:anchorage_factor"),
    _must("anchorage-unsupervised", anchorage.anchorage_unsupervised, (PLAN,), "law:anchorage_supervision"),
    _must("structure-unchecked", anchorage.structure_unchecked, (PLAN,)),
    _must("compatibility-unstated", anchorage.compatibility_unstated, (PLAN,), "law:compatibility"),
    _must("other-use-of-rail", anchorage.other_use_of_rail, (PLAN, NOTICE), "law:exclusive_use"),
    _must("harness-attachment", anchorage.harness_attachment, (PLAN,), "law:harness_attachment"),
    # Single parts, find_equipment
    _must("connector-strength-low", equipment.connector_strength_low, (PLAN,), "law:connector_tensile_min"),
    _must("connector-not-locking", equipment.connector_not_locking, (PLAN,), "law:connector_locking"),
    _must("inspection-overdue", equipment.inspection_overdue, (PLAN,), SRD, stops="use"),
    _must("inspection-never", equipment.inspection_never, (PLAN,), stops="use"),
    _must("inspection-failed", equipment.inspection_failed, (PLAN,), stops="use"),
    _must("inspection-serial-differs", equipment.inspection_serial_differs, (PLAN,), stops="use"),
    _must("inspection-interval-over-law", equipment.inspection_interval_over_law, (PLAN,), "law:inspection_periodic_interval"),
    _soon("inspection-interval-unstated", equipment.inspection_interval_unstated, (PLAN,)),
    _soon("inspection-interval-severe", equipment.inspection_interval_severe, (PLAN,), SRD),
    _must("inspection-interval-over-manual", fitness.inspection_interval_over_manual, (PLAN,)),
    _advice("inspector-is-user", fitness.inspector_is_user, (PLAN,)),
    _must("impact-loaded", equipment.impact_loaded, (PLAN,), "law:after_impact", stops="use"),
    _must("quarantined-in-use", equipment.quarantined_in_use, (PLAN,), stops="use"),
    _must("retire-passed", equipment.retire_passed, (PLAN,), stops="use"),
    _soon("label-photo-missing", equipment.label_photo_missing, (PLAN,)),
    _advice("edition-old", equipment.edition_old, (PLAN,)),
    _soon("temperature-range", equipment.temperature_range, (PLAN,)),
    _soon("corrosive-unsuitable", fitness.corrosive_unsuitable, (PLAN,)),
    # The bay around the rail, find_place
    _must("flowing-solids", place.flowing_solids, (PLAN, NOTICE)),
    _soon("slow-sink", place.slow_sink, (PLAN, NOTICE)),
    _must("vehicle-can-move", place.vehicle_can_move, (PLAN, NOTICE), "law:truck_securing"),
    _must("energised-lines", place.energised_lines, (PLAN, NOTICE)),
    _must("overhead-line-near", place.overhead_line_near, (PLAN, NOTICE), POWER),
    _soon("overhead-line-unmeasured", place.overhead_line_unmeasured, (PLAN, NOTICE), POWER),
    _must("flammable-area-equipment", place.flammable_area_equipment, (PLAN,)),
    _soon("dangerous-equipment-below", place.dangerous_equipment_below, (PLAN,)),
    _soon("water-below", place.water_below, (PLAN,)),
    _soon("below-unstated", place.below_unstated, (PLAN, NOTICE)),
    _must("weather-limit-missing", place.weather_limit_missing, (PLAN, NOTICE)),
    _must("lightning-wait-short", place.lightning_wait_short, (PLAN, NOTICE)),
    _advice("lighting-unstated", place.lighting_unstated, (PLAN,)),
    _soon("alternatives-unasked", place.alternatives_unasked, (PLAN,), "law:order_of_means"),
    _soon("alternative-possible", place.alternative_possible, (PLAN,), "law:order_of_means"),
    # Training and named people, find_people
    _soon("users-missing", people.users_missing, (PLAN,), "law:training_before_exposure"),
    _must("training-missing", people.training_missing, (PLAN,), "law:training_before_exposure", stops="use"),
    _must("training-language", people.training_language, (PLAN,), "law:training_language", stops="use"),
    _soon("training-practical", people.training_practical, (PLAN,), "law:equipment_training", stops="use"),
    _soon("training-topics", people.training_topics, (PLAN,), "law:training_topics"),
    _must("trainer-unqualified", people.trainer_unqualified, (PLAN,), "law:trainer"),
    _soon("refresher-overdue", people.refresher_overdue, (PLAN,), "site-rule", stops="use"),
    _must("retraining-after-event", people.retraining_after_event, (PLAN,), "law:retraining_triggers", stops="use"),
    _soon("event-persons-unstated", logs.event_persons_unstated, (PLAN,), "law:retraining_triggers"),
    _must("competent-person-missing", people.competent_person_missing, (PLAN,), "law:definition_competent"),
    _soon("competent-person-unappointed", people.competent_person_unappointed, (PLAN,)),
    _must("hazard-assessment-missing", people.hazard_assessment_missing, (PLAN,), "law:hazard_certification"),
    _must("before-use-inspection-missing", people.before_use_inspection_missing, (PLAN,), "law:inspection_before_use"),
    # Shifts, find_roster
    _must("shifts-missing", roster.shifts_missing, (PLAN, RESCUE)),
    _must("lone-work", roster.lone_work, ALL, "law:lone_work"),
    _soon("shift-persons-unstated", roster.shift_persons_unstated, (PLAN, RESCUE)),
    _must("detection-missing", roster.detection_missing, (RESCUE,)),
    _must("detection-alone-over", roster.detection_alone_over, (RESCUE,)),
    _must("first-aider-gap", roster.first_aider_gap, (RESCUE,), "law:first_aid"),
    _must("gate-at-night", roster.gate_at_night, (RESCUE,)),
    _must("rescuers-too-few", roster.rescuers_too_few, (PLAN, RESCUE), "law:rescue_duty"),
    _must("rescuer-is-climber", roster.rescuer_is_climber, (PLAN, RESCUE), "law:rescue_duty"),
    _soon("rescuer-practical-overdue", roster.rescuer_practical_overdue, (RESCUE,), stops="use"),
    _soon("rescuer-practical-never", roster.rescuer_practical_never, (RESCUE,), stops="use"),
    # Rescue against the clock, find_rescue
    _must("rescue-missing", rescue.rescue_missing, (PLAN, RESCUE), "law:rescue_duty"),
    _must("outside-help-only", rescue.outside_help_only, (PLAN, RESCUE), "law:rescue_duty"),
    _must("rescue-shift-uncovered", rescue.rescue_shift_uncovered, (PLAN, RESCUE), "law:rescue_duty"),
    _must("rescue-over-time", rescue.rescue_over_time, (RESCUE,), "law:rescue_prompt_meaning"),
    _must("rescue-input-missing", rescue.rescue_input_missing, (RESCUE,)),
    _must("step-order", rescue.step_order, (RESCUE,)),
    _must("rescue-limit-missing", rescue.rescue_limit_missing, (RESCUE,), "law:rescue_time_max"),
    _must("rescue-limit-over-law", rescue.rescue_limit_over_law, (RESCUE,), "law:rescue_time_max"),
    _soon("rescue-limit-basis", rescue.rescue_limit_basis, (RESCUE,)),
    _soon("rescue-limit-long", rescue.rescue_limit_long, (RESCUE,)),
    _must("unconscious-not-covered", rescue.unconscious_not_covered, (RESCUE,), "law:rescue_duty"),
    _must("night-method", rescue.night_method, (RESCUE,)),
    _soon("outside-help-unconfirmed", rescue.outside_help_unconfirmed, (RESCUE,)),
    _must("straps-as-rescue", rescue.straps_as_rescue, (RESCUE,), "law:rescue_duty"),
    _advice("straps-missing", rescue.straps_missing, (RESCUE,), "law:suspension_plan"),
    _soon("drill-overdue", drills.drill_overdue, (RESCUE,), stops="use"),
    _soon("drill-never", drills.drill_never, (RESCUE,), stops="use"),
    _soon("drill-worst-case-never", drills.drill_worst_case_never, (RESCUE,)),
    _soon("drill-night-never", drills.drill_night_never, (RESCUE,)),
    _soon("drill-beats-paper", drills.drill_beats_paper, (RESCUE,)),
    # What a rescue is done with, find_rescue_gear
    _must("rescuer-untied", gear.rescuer_untied, (RESCUE,)),
    _must("rescue-anchor-missing", gear.rescue_anchor_missing, (RESCUE,), "law:anchorage_for_rescue_min"),
    _must("kit-reach", gear.kit_reach, (RESCUE,)),
    _must("ring-out-of-reach", gear.ring_out_of_reach, (RESCUE,)),
    _soon("ring-reach-unstated", gear.ring_reach_unstated, (RESCUE,)),
    _must("kit-capacity", gear.kit_capacity, (RESCUE,)),
    _must("kit-rating-missing", gear.kit_rating_missing, (RESCUE,)),
    _must("kit-not-suitable", fitness.kit_not_suitable, (RESCUE,)),
    _must("retrieval-out-of-reach", fitness.retrieval_out_of_reach, (RESCUE,)),
    _soon("kit-unavailable", fitness.kit_unavailable, (RESCUE,)),
    _soon("rescue-route-blocked", fitness.rescue_route_blocked, (RESCUE,)),
    _soon("rescue-route-untimed", fitness.rescue_route_untimed, (RESCUE,)),
    _soon("kit-place-missing", gear.kit_place_missing, (RESCUE,)),
    _soon("kit-check-stale", gear.kit_check_stale, (RESCUE,)),
    _soon("kit-never-checked", gear.kit_never_checked, (RESCUE,)),
    _must("casualty-posture-wording", gear.casualty_posture_wording, (RESCUE,), "standard:UK HSE RR708 (2009)|read"),
    _soon("care-unstated", gear.care_unstated, (RESCUE,), "law:first_aid"),
    _must("contacts-missing", gear.contacts_missing, (RESCUE,), "law:emergency_numbers"),
    _soon("contact-stale", gear.contact_stale, (RESCUE, NOTICE), stops="use"),
    _soon("contact-never-tested", gear.contact_never_tested, (RESCUE, NOTICE), stops="use"),
    _soon("contact-private", postings.contact_private, (RESCUE, NOTICE)),
    _must("radio-not-suitable", gear.radio_not_suitable, (RESCUE,)),
    _soon("alarm-unstated", gear.alarm_unstated, (RESCUE,)),
    _soon("location-words-missing", gear.location_words_missing, (RESCUE,)),
    # The contractor rule, find_contractors
    _must("no-enforcement", contractors.no_enforcement, (PLAN, NOTICE)),
    _must("enforcement-no-decider", contractors.enforcement_no_decider, (PLAN, NOTICE)),
    _soon("enforcement-no-record", contractors.enforcement_no_record, (PLAN, NOTICE)),
    _must("enforcement-punishes-reporting", contractors.enforcement_punishes_reporting, (NOTICE,), "law:no_retaliation"),
    _must("unequal-enforcement", contractors.unequal_enforcement, (PLAN, NOTICE)),
    _must("enforcement-uneven", logs.enforcement_uneven, (PLAN, NOTICE)),
    _soon("breach-without-step", logs.breach_without_step, (PLAN,)),
    _must("refusal-right-missing", contractors.refusal_right_missing, (NOTICE,), "law:no_retaliation"),
    _must("no-reprisal-missing", contractors.no_reprisal_missing, (NOTICE,), "law:no_retaliation"),
    _must("notice-language", contractors.notice_language, (NOTICE,), "law:training_language"),
    _soon("crew-language", contractors.crew_language, (PLAN, RESCUE), "law:training_language"),
    _soon("posting-language", contractors.posting_language, (NOTICE,), "law:posting_language"),
    _must("driver-climb-conditions", contractors.driver_climb_conditions, (PLAN, NOTICE), "law:host_contractor_duty"),
    _must("loaned-harness", contractors.loaned_harness, (PLAN, NOTICE), "law:host_contractor_duty"),
    _must("loaned-harness-outside-chain", fitness.loaned_harness_outside_chain, (PLAN, NOTICE)),
    _soon("loaned-harness-unlisted", fitness.loaned_harness_unlisted, (PLAN,)),
    _must("harness-unchecked", contractors.harness_unchecked, (PLAN, NOTICE)),
    _soon("contractor-facts-missing", contractors.contractor_facts_missing, (PLAN, NOTICE), "law:host_contractor_duty"),
    _soon("employer-roles-missing", contractors.employer_roles_missing, (PLAN,), "law:multi_employer_roles"),
    # The site's own words, find_words
    _must("promise-words", text.promise_words, ALL),
    _soon("vague-words", text.vague_words, ALL),
    _soon("permissive-verb", text.permissive_verb, (NOTICE,)),
    _must("waiver", text.waiver, ALL),
    _must("regulator-approval", text.regulator_approval, ALL),
    _must("rescue-promise", text.rescue_promise, (NOTICE,)),
    _advice("law-number-in-notice", text.law_number_in_notice, (NOTICE,)),
    _must("weight-in-text", text.weight_in_text, ALL),
    _must("common-mistake", text.common_mistake, ALL),
    _advice("notice-text-long", postings.notice_text_long, (NOTICE,)),
    _must("documents-contradict", contradictions.documents_contradict, ALL),
    # The law in force and reviewers, find_law
    _must("state-plan-mismatch", law.state_plan_mismatch, ALL, "law:regional_plans"),
    _soon("state-unstated", law.state_unstated, ALL),
    _must("site-rule-below-law", law.site_rule_below_law, (PLAN, NOTICE)),
    _soon("site-rule-weaker", law.site_rule_weaker, (PLAN, NOTICE), "law:trigger_height"),
    _soon("vehicle-tops-unstated", law.vehicle_tops_unstated, (PLAN,), "law:vehicle_tops_position"),
    _soon("citations-stale", law.citations_stale, (PLAN,)),
    _soon("citations-unverified", law.citations_unverified, (PLAN,)),
    _soon("local-rule-unverified", law.local_rule_unverified, (PLAN,)),
    _must("local-rule-unmatched", law.local_rule_unmatched, (PLAN,)),
    _must("rules-conflict", law.rules_conflict, (PLAN,)),
    _must("licence-expired", law.licence_expired, (PLAN,)),
    _must("licence-elsewhere", law.licence_elsewhere, (PLAN,)),
    _soon("licence-unstated", fitness.licence_unstated, (PLAN,)),
    _soon("review-scope-missing", law.review_scope_missing, (PLAN,)),
    _advice("law-silent", law.law_silent, ALL),
    _advice("law-not-looked", law.law_not_looked, ALL),
    # The document itself, find_review
    _must("notice-no-authority", review.notice_no_authority, (NOTICE,)),
    _must("approval-role-unknown", review.approval_role_unknown, ALL),
    _soon("preparer-is-approver", review.preparer_is_approver, ALL),
    _soon("review-overdue", review.review_overdue, (PLAN,)),
    _soon("review-never", review.review_never, (PLAN,)),
    _soon("review-interval-missing", review.review_interval_missing, (PLAN,)),
    _soon("no-copy-at-work", review.no_copy_at_work, (PLAN,)),
    _soon("crew-review-undated", review.crew_review_undated, (PLAN,)),
    _advice("retention-unstated", review.retention_unstated, (PLAN,)),
    _soon("posting-missing", review.posting_missing, (NOTICE,)),
    _soon("posting-unlit", review.posting_unlit, (NOTICE,)),
    _soon("posting-unproven", postings.posting_unproven, (NOTICE,)),
    _soon("posting-check-stale", postings.posting_check_stale, (NOTICE,), stops="use"),
    _must("posted-differs", postings.posted_differs, (NOTICE,), stops="use"),
    _must("posting-revision-differs", postings.posting_revision_differs, (NOTICE,), stops="use"),
    _soon("vehicle-unknown", logs.vehicle_unknown, (PLAN, NOTICE)),
    _soon("cards-missing", logs.cards_missing, (PLAN,), "law:inspection_before_use"),
    _soon("site-rule-unproven", logs.site_rule_unproven, (PLAN, NOTICE)),
    _soon("event-open", review.event_open, (PLAN,)),
    _soon("record-in-future", review.record_in_future, ALL),
    _soon("acceptance-lapsed", review.acceptance_lapsed, ALL, acceptable=False),
    _soon("acceptance-unknown", review.acceptance_unknown, ALL, acceptable=False),
    _soon("acceptance-refused", review.acceptance_refused, ALL, acceptable=False),
    _soon("acceptance-pointless", review.acceptance_pointless, ALL, acceptable=False),
    # What is done about findings, find_handling
    _must("open-without-interim", handling.open_without_interim, (PLAN,), stops="use"),
    _soon("handling-overdue", handling.handling_overdue, (PLAN,), acceptable=False),
    _soon("handling-closed-open", handling.handling_closed_open, (PLAN,), acceptable=False),
    _soon("handling-pointless", handling.handling_pointless, (PLAN,), acceptable=False),
    _soon("handling-incomplete", handling.handling_incomplete, (PLAN,), acceptable=False),
    _soon("handling-unknown", handling.handling_unknown, (PLAN,), acceptable=False),
)


def basis_of(rule: Rule, view: View) -> Basis:
    """The basis of a rule under the law in force; a silent question falls back to common practice, said so."""
    kind, _, rest = rule.rests_on.partition(":")
    if kind == "law":
        answer = view.code.ask(rest)
        if answer.state == "silent":
            return Basis("practice", "common practice; the law asked is silent", "none")
        return Basis(KIND_OF.get(answer.force, "law"), answer.citation, answer.basis)
    if kind == "standard" and not (view.site is not None and view.site.country != "US" and rest.startswith(OF_US)):
        citation, _, basis = rest.partition("|")
        return Basis("standard", citation, basis or "memory")
    if kind == "site-rule":
        return Basis("site-rule", "rule of this site", "none")
    return basis_of_practice()


def basis_of_practice() -> Basis:
    """What a finding rests on that no text asks for."""
    return Basis("practice", "common practice, no published source", "none")


def find(view: View, rules: tuple[Rule, ...] = RULES) -> tuple[Finding, ...]:
    """All findings, most severe first, then in list order, then by profile line."""
    found, seen = [], set()
    for order, rule in enumerate(rules):
        basis = None
        for hit in rule.function(view):
            same = (rule.name, hit.path, tuple(hit.values.items()))
            if same in seen:
                continue
            seen.add(same)
            basis = basis or basis_of(rule, view)
            finding = Finding(
                name=rule.name,
                severity=rule.severity,
                stops=rule.stops,
                documents=rule.documents,
                path=hit.path,
                line=view.site.line(hit.path),
                values=hit.values,
                basis=basis,
            )
            found.append((SEVERITIES.index(rule.severity), order, finding.line or 0, finding))
    found.sort(key=lambda row: row[:3])
    return tuple(row[3] for row in found)
