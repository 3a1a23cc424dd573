"""What of a part is true of every piece of its model: that alone goes from one site to another without somebody who looks."""

from __future__ import annotations

import re

__all__ = ["of_the_model"]

#: What of a part is true of its model, whoever has it; all the rest is true of one piece or of the place where it serves.
MODEL = re.compile(
    r"kind|name|standard|class|capacity\..+|rated_users|arrest_distance|deceleration_distance|arrest_force_(average|peak)|free_fall_max|line_(length|material|strength)|edge_rated"
    r"|angle_max|temperature\..+|unsuitable_for|suitable_for_area|retrieval|tensile|proof|gate_proof|design_load|self_locking|attachment|reach|manual|model|maker"
    r"|edge_use\..+|arrest_at\..+|line_angle\.(max|page)|cold\..+|after_arrest\.page|inspection\.manual_interval"
)
#: What is known of a figure whoever read it; by and on are of those who saw one piece.
KNOWN_OF = re.compile(r"\.(value|how|tolerance|bound)$")


def of_the_model(path: str) -> bool:
    """Whether a field of a part, by its path within it, is true of its model.

    >>> of_the_model("arrest_distance.how"), of_the_model("arrest_distance.by"), of_the_model("free_fall")
    (True, False, False)
    """
    return MODEL.fullmatch(KNOWN_OF.sub("", path)) is not None and path.rpartition(".")[2] not in ("by", "on")
