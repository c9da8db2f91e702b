"""Widths of letters in the sans-serif face that every PDF reader has, in thousandths of the letter size.

Source: font metrics published for the standard typeface of the PDF base fonts (from memory); the height of its
capitals is 718.
"""

from __future__ import annotations

CAPITAL = 718
"""Height of a capital, in thousandths of the letter size."""

_BY_WIDTH = {
    191: "'", 222: "ijl", 260: "|", 278: " !,./:;I[\\]ft·", 333: "()-`r²³¹", 334: "{}", 355: '"', 389: "*", 400: "°",
    469: "^", 500: "Jckvsxyz", 556: "#$0123456789?L_abdeghnopquµäöüéèàáâñó–", 584: "+<=>~±×", 611: "FTZß",
    667: "&ABEKPSVXYÄ", 722: "CDHNRUwÜ", 778: "GOQØÖ", 833: "Mm", 889: "%", 944: "W", 1015: "@",
}  # fmt: skip

WIDTHS = {letter: width for width, letters in _BY_WIDTH.items() for letter in letters}
UNKNOWN = 800
"""Any other letter, on the safe side."""
ROOM = 1.15
"""Other usual faces are up to this much wider."""
