"""The figures of the documents: pure functions from site and assessment to drawings, words from the words file.

Each returns None where too little is known to draw anything. `READS` names the fields of the model that each rests on,
so that the clause around a figure is traced to them.
"""

from __future__ import annotations

from docgen.compose.elevation import elevation
from docgen.compose.parking import parking
from docgen.compose.say import Say
from docgen.compose.timeline import timeline

__all__ = ["READS", "Say", "elevation", "parking", "timeline"]

READS = {
    "elevation": (
        "deck", "line_exit", "ring", "height", "reach", "across", "along", "offset", "line_angle", "swing_drop", "lower_level",
        "lower_what", "arrest_distance", "stretch", "posture_addition", "deflection", "margin_term", "required", "available",
        "margin", "hang_low", "feet_low",
    ),
    "parking": ("reach", "rail_offset", "along", "largest_worst", "allowance_left", "allowance_right"),
    "timeline": ("detection", "contact", "contact_limit", "ground", "ground_limit"),
}  # fmt: skip
