"""Texts that nobody should be able to do harm with in a chat, for hypothesis to draw from."""

from hypothesis import strategies as st

from core.card import channel, role

OPENS, CLOSES = channel("x").split("x")
text = (
    st.text(st.characters(codec="utf-8"), max_size=300)
    | st.text("*_`|@<>[]()#-~\\ a\n🧪", max_size=900)
    | st.text(f"{OPENS}{CLOSES}&<#@> 0123456789\\a", max_size=900)
)
mentioning = st.lists(text | st.integers(0, 2**64 - 1).map(lambda n: channel(str(n)) if n % 2 else role(str(n)))).map(
    "".join
)
"""Text with channels and roles in it, as cards have them."""
