"""Cited arithmetic of fall protection: pure functions, floats in SI (m, kg, N, s, rad), standard library only.

One module a subject. Nothing is imported here, so that a caller pays only for the module it uses. Every public function
carries `.formula` (see `formula.py`) from which a document shows the working.
"""

from docgen.errors import DocgenError

__all__ = ["CalcError", "G"]

# Standard acceleration of free fall [m/s^2], 3rd CGPM 1901 (BIPM, The International System of Units); basis: memory.
G = 9.80665


class CalcError(DocgenError, ValueError):
    """A value that no calculation can be made with; the message says which one and what would be right.

    `inputs` are the paths of the profile that the calculation had read by then, the last one last; empty where nobody noted them.
    """

    inputs: tuple[str, ...] = ()
