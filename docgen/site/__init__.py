"""The profile as frozen, typed values: every value knows the profile path and the line it came from.

A section or record that the profile leaves out is still there, empty, and false in a condition (`given` is False), so
that a reader of the model never meets a hole. Quantities are SI with the text as written and the evidence beside them.
Each field is declared once, in the module of its section, with its sentence, examples and rules.
"""

from docgen.site.bays import Bay, Obstruction, OverheadLine
from docgen.site.build import KEY_OF_FIELD, build, walk
from docgen.site.contractors import ContractorClass
from docgen.site.declare import Node, Quantity, record
from docgen.site.equipment import Anchorage, Part, System
from docgen.site.law import LocalRule, Reviewer
from docgen.site.limits import SiteRule
from docgen.site.logs import Acceptance, Event, Handling, Posting
from docgen.site.people import Rescuer, Shift, TrainingRecord, User
from docgen.site.place import Place, Role
from docgen.site.profile import Site
from docgen.site.rescue import Drill, KitPlace, Method, MethodStep
from docgen.site.vehicles import LowerLevel, Protrusion, Side, Task, Vehicle

__all__ = [
    "KEY_OF_FIELD", "Acceptance", "Anchorage", "Bay", "ContractorClass", "Drill", "Event", "Handling", "KitPlace", "LocalRule", "LowerLevel", "Method", "MethodStep",
    "Node", "Obstruction", "OverheadLine", "Part", "Place", "Posting", "Protrusion", "Quantity", "Rescuer", "Reviewer", "Role", "Shift", "Side", "Site", "SiteRule",
    "System", "Task", "TrainingRecord", "User", "Vehicle", "build", "record", "walk",
]  # fmt: skip
