"""The profile as frozen, typed values: every value knows the profile path and the line it came from.

A section or record that the profile leaves out is still there, empty, and false in a condition (`given` is False), so
that a reader of the model never meets a hole. Quantities are SI with the text as written and the evidence beside them.
Each field is declared once, in the module of its section, with its sentence, examples and rules.
"""

from docgen.site.acts import Act, acts
from docgen.site.administrative import administrative
from docgen.site.bays import Bay, BayRail, ControlStep, Obstruction, OverheadLine, RescueAnchor
from docgen.site.build import KEY_OF_FIELD, Slot, build, build_log, slots_of, walk
from docgen.site.contractors import ContractorClass
from docgen.site.declare import Node, Quantity, SideName, record
from docgen.site.equipment import Part, System
from docgen.site.law import LawAnswer, LocalKind, LocalRule, Reviewer
from docgen.site.limits import DRing, Limits, SiteRule
from docgen.site.log import Entry, Log
from docgen.site.people import Post, Rescuer, Shift, User
from docgen.site.place import Holder, Role, RolePart
from docgen.site.posting import Handling, Posting
from docgen.site.profile import Site
from docgen.site.rescue import Contact, KitPlace, Method, MethodStep, TimeLimit
from docgen.site.vehicles import Permission, Posture, Protrusion, Side, Struck, Task, Vehicle

__all__ = [
    "KEY_OF_FIELD",
    "Act",
    "Bay",
    "BayRail",
    "Contact",
    "ContractorClass",
    "ControlStep",
    "DRing",
    "Entry",
    "Handling",
    "Holder",
    "KitPlace",
    "LawAnswer",
    "Limits",
    "LocalKind",
    "LocalRule",
    "Log",
    "Method",
    "MethodStep",
    "Node",
    "Obstruction",
    "OverheadLine",
    "Part",
    "Permission",
    "Post",
    "Posting",
    "Posture",
    "Protrusion",
    "Quantity",
    "RescueAnchor",
    "Rescuer",
    "Reviewer",
    "Role",
    "RolePart",
    "Shift",
    "Side",
    "SideName",
    "Site",
    "SiteRule",
    "Slot",
    "Struck",
    "System",
    "Task",
    "TimeLimit",
    "User",
    "Vehicle",
    "acts",
    "administrative",
    "build",
    "build_log",
    "record",
    "slots_of",
    "walk",
]
