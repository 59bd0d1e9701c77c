"""Colours that the pictures share. Ink on paper has a contrast of about 14 to 1; no meaning hangs on a colour alone."""

INK, PAPER, FRAME = "#1d2733", "#fbfaf7", "#46525e"
COOL, NEUTRAL, WARM = "#8d7bb8", "#f4f1ea", "#e0a45c"
PALE = "#c9bfdf"
