"""``platewright report``: the moderators' cards in, one self-contained HTML page out.

Nothing is fetched: pictures and style stand in the page. It reads well on paper, with a keyboard and with a screen
reader. This file must never know what a card says.
"""

from base64 import b64encode
from collections.abc import Sequence
from html import escape

from core.card import CHANNEL_OR_ROLE, Card, Section
from core.words import Words

_POLICY = (
    '<meta http-equiv="Content-Security-Policy"'
    " content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'\">"
)
_STYLE = """
:root { color-scheme: light dark; --ink: #1d2733; --paper: #fbfaf7; --line: #6b7682; }
@media (prefers-color-scheme: dark) { :root { --ink: #eceae4; --paper: #171c22; --line: #8f9aa6; } }
body { color: var(--ink); background: var(--paper); font: 1.05rem/1.55 system-ui, sans-serif; margin: 0 auto;
  max-width: 46rem; padding: 1rem 1.2rem 4rem; }
h1 { line-height: 1.2; } h2 { margin-top: 2.6rem; border-bottom: 2px solid var(--line); }
a { color: inherit; } a:focus-visible { outline: 3px solid currentColor; outline-offset: 3px; }
.skip { position: absolute; left: -99rem; } .skip:focus { position: static; }
.first { font-size: 1.15rem; font-weight: 600; } nav ul { padding-left: 1.2rem; }
figure { margin: 1.2rem 0; } img { max-width: 100%; height: auto; background: #fbfaf7; }
@media print { body { max-width: none; color: #000; background: #fff; } nav, .skip { display: none; }
  section { break-inside: avoid-page; } h2, h3 { break-after: avoid; } figure { break-inside: avoid; } }
"""


def write_page(title: str, cards: Sequence[Card], words: Words, warning: str = "") -> str:
    """Return a page with one part a card, each with its text, its pictures and their words; a warning above all."""
    parts = [(f"part-{number}", card) for number, card in enumerate(cards, 1)]
    links = "".join(f'<li><a href="#{name}">{escape(card.title)}</a></li>' for name, card in parts)
    return "\n".join(
        (
            "<!DOCTYPE html>",
            f'<html lang="{escape(words.language)}">',
            '<head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">',
            # Belt and braces: not even a browser's own guess may fetch anything.
            _POLICY,
            '<link rel="icon" href="data:,">',
            f"<title>{escape(title)}</title><style>{_STYLE}</style></head>",
            "<body>",
            f'<a class="skip" href="#part-1">{escape(words.say("report.skip"))}</a>',
            f"<header><h1>{escape(title)}</h1>",
            f'<p class="first">{escape(warning)}</p></header>' if warning else "</header>",
            f'<nav aria-label="{escape(words.say("report.contents"))}"><ul>{links}</ul></nav>',
            "<main>",
            *(_part(name, card) for name, card in parts),
            "</main></body></html>",
            "",
        )
    )


def _part(name: str, card: Card) -> str:
    return "\n".join(
        (
            f'<section id="{name}" aria-labelledby="{name}-title" tabindex="-1">',
            f'<h2 id="{name}-title">{escape(card.title)}</h2>',
            f'<p class="first">{_text(card.conclusion)}</p>' if card.conclusion else "",
            *(_figure(picture.png, picture.alt) for picture in card.pictures),
            *(_section(section) for section in card.sections),
            "</section>",
        )
    )


def _figure(png: bytes, alt: str) -> str:
    source = b64encode(png).decode("ascii")
    return f'<figure><img src="data:image/png;base64,{source}" alt="{escape(alt)}"></figure>'


def _section(section: Section) -> str:
    heading = f"<h3>{_text(section.heading)}</h3>" if section.heading else ""
    return heading + "<ul>" + "".join(f"<li>{_text(line)}</li>" for line in section.lines) + "</ul>"


def _text(text: str) -> str:
    # A number and its sign stay on one line.
    return escape(CHANNEL_OR_ROLE.sub(r"#\g<id>", text)).replace(" %", "&nbsp;%")
