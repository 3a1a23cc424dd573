"""One case in stages: heights, offsets, below, terms, swing, need, inverse; each a frozen record made from those before it.

    rail, hang, deck, D-ring -> Heights --+-> Swing --+-> Need --+-> Margin -> Inverse
    reach, rail, parking ---> Offsets ----+-> Edge    |          |
    side, protrusions -> Below -> Available ----------|----------+
    device, allowances, Edge -> Terms ----------------+-> Hanging
    Swing, Terms, Frame (one frame of coordinates across) -> what is struck

Each figure goes in with both its ends (`spread.Spread`); each result is computed as the figures stand and in its worst corner. A stage that cannot be computed is None and says what it lacks (`stage.Stage`); so are all that rest on it.
"""

from docgen.engineering.case.product import one_case
from docgen.engineering.case.run import Stages, Subject, stages
from docgen.engineering.case.stage import Stage
from docgen.engineering.case.terms import devices

__all__ = ["Stage", "Stages", "Subject", "devices", "one_case", "stages"]
