"""Plain text as the platform must get it: nothing formats, nobody is pinged, and only a card mentions."""

import re

import pytest
from hostile_text import CLOSES, OPENS, mentioning
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.discord_app.writing import clip, escape, size, typed
from core.card import CHANNEL_OR_ROLE, channel, role


@pytest.mark.parametrize(
    ("given", "sent"),
    [
        ("**bold** _it_ ~~no~~ ||spoiler||", r"\*\*bold\*\* \_it\_ \~\~no\~\~ \|\|spoiler\|\|"),
        ("[click](https://example.org)", r"\[click\](https://example.org)"),
        ("[a](b) **c** (d)", r"\[a\](b) \*\*c\*\* (d)"),
        ("# not a heading", r"\# not a heading"),
        ("- not a list", r"\- not a list"),
        ("> not a quote", r"\> not a quote"),
        ("@everyone and @here", "@\u200beveryone and @\u200bhere"),
        ("<@123456789012345678>", "\\<@\u200b123456789012345678\\>"),
        ("<#123> <t:0>", r"\<\#123\> \<t:0\>"),
        ("two\nlines\u2028three", "two lines three"),
        ("left\u202eright\x00", "leftright"),
        ("1.02 - 0.98 = 0.04", "1.02 - 0.98 = 0.04"),
        (r"a\*b", r"a\\\*b"),
        (f"ask in {channel('123')} or {role('45')}", "ask in <#123> or <@&45>"),
        (f"{channel('123')} - # 2", r"<#123> - \# 2"),
        (f"<{channel('123')}>", r"\<<#123>\>"),
        (channel("everyone"), "everyone"),
        (channel("12 34"), "12 34"),
        (channel("@everyone"), "@\u200beveryone"),
        (channel("١٢٣"), "١٢٣"),
        (channel("1" * 21), "1" * 21),
        (role("!12"), "&!12"),
        (f"{OPENS}{channel('5')}{CLOSES}", "<#5>"),
        (f"{OPENS}5", "5"),
        (f"5{CLOSES}", "5"),
    ],
)
def test_what_people_wrote_is_shown_as_they_wrote_it(given, sent):
    assert escape(given) == sent


MENTION = re.compile(r"<(?:#|@&)[0-9]{1,20}>")
UNESCAPED = re.compile(r"(?<!\\)(?:\\\\)*<")


@settings(max_examples=200, deadline=None)
@given(mentioning)
def test_only_a_card_mentions_and_only_channels_and_roles_by_number(line):
    """Whatever people wrote, the one sign that can begin a mention stands unescaped only where a card put it."""
    sent = escape(line)
    assert OPENS not in sent
    assert CLOSES not in sent
    known = [
        found for found in CHANNEL_OR_ROLE.finditer(line.replace("\n", " ")) if re.fullmatch("[0-9]{1,20}", found["id"])
    ]
    assert len(UNESCAPED.findall(sent)) == len(known)
    assert not re.search(r"@(everyone|here|[!&]?[0-9]{17,20})", MENTION.sub(" ", sent))


@settings(max_examples=200, deadline=None)
@given(mentioning, st.integers(1, 60))
def test_what_is_cut_ends_neither_in_an_escape_nor_in_half_a_mention(line, most):
    cut = clip(escape(line), most)
    assert size(cut) <= most
    rest = MENTION.sub("", cut)
    assert not UNESCAPED.search(rest)
    bare = rest.removesuffix("…")
    assert (len(bare) - len(bare.rstrip("\\"))) % 2 == 0


@given(st.text() | mentioning)
def test_what_people_type_can_frame_nothing(line):
    assert not CHANNEL_OR_ROLE.search(typed(line))
    assert typed("plain words") == "plain words"
