"""The text of the two-dimensional code in the foot of a paper that hangs: written for the foot, read back from a scan.

    HR-FP-01 BAY-SIGN.B1 EN REV 2 58B0 9853 FC00     number, paper with its bay, language, revision, mark
    HR-FP-01 CONTRACTOR-NOTICE EN DRAFT 58B0 9853 FC00
    HR-FP-01 CLOSURE-SHEET.B1 EN 2026-11-01          a paper without a digest has a day instead

In capitals, which such a code holds in less room than small letters (ISO/IEC 18004, alphanumeric mode). It is read in any letters.
"""

from __future__ import annotations

import re
from datetime import date

from docgen.frozen import frozen

__all__ = ["PaperCode", "read_code"]

MARK = r"[0-9A-F]{4} ?[0-9A-F]{4} ?[0-9A-F]{4}"
CODE = re.compile(
    r"(?:(?P<number>\S.*?)\s+)?(?P<paper>[A-Z][A-Z-]*(?:\.[A-Z0-9][A-Z0-9-]*)?)\s+(?P<language>[A-Z]{2}(?:-[A-Z0-9]+)*)\s+"
    rf"(?:(?:REV\s+(?P<revision>[1-9][0-9]{{0,5}})|DRAFT)\s+(?P<mark>{MARK})|(?P<day>[0-9]{{4}}-[0-9]{{2}}-[0-9]{{2}}))(?=\s*(?:[;,\t]|$))",
    re.IGNORECASE,
)


@frozen
class PaperCode:
    """What the code of a paper says: its number where it has one, the paper with its bay, its language, and which one it is.

    `mark` is the short digest (`58b0 9853 fc00`), empty on a paper without a digest, which has a `day`; `revision` None on a draft.
    """

    number: str
    paper: str
    language: str
    revision: int | None = None
    mark: str = ""
    day: date | None = None

    @property
    def text(self) -> str:
        """The text in one line.

        >>> PaperCode("HR-FP-01", "bay-sign.B1", "en", 2, "58b0 9853 fc00").text
        'HR-FP-01 BAY-SIGN.B1 EN REV 2 58B0 9853 FC00'
        """
        which = self.day.isoformat() if self.day else f"REV {self.revision}" if self.revision else "DRAFT"
        parts = (" ".join(self.number.split()), self.paper, self.language, which, self.mark)
        return " ".join(part for part in parts if part).upper()


def read_code(line: str) -> tuple[PaperCode, int] | None:
    """The code at the start of a line and where it ends, in small letters but for the number; None where there is none.

    >>> read_code("hr-fp-01 bay-sign.b1 en rev 2 58b09853fc00; SIGN-1")
    (PaperCode(number='hr-fp-01', paper='bay-sign.b1', language='en', revision=2, mark='58b0 9853 fc00', day=None), 42)
    """
    found = CODE.match(line)
    if found is None:
        return None
    day = None
    if found["day"]:
        try:
            day = date.fromisoformat(found["day"])
        except ValueError:
            return None
    plain = (found["mark"] or "").replace(" ", "").lower()
    mark = " ".join(plain[at : at + 4] for at in range(0, len(plain), 4))
    revision = int(found["revision"]) if found["revision"] else None
    return (
        PaperCode(found["number"] or "", found["paper"].lower(), found["language"].lower(), revision, mark, day),
        found.end(),
    )
