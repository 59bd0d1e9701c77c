#!/usr/bin/env bash
# Renews the generated tables in DEVELOPERS.md from core/knowledge/data.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
environment check check.lock
cd "$root"
PYTHONPATH="$root" "$python" -P - <<'PYTHON'
from pathlib import Path

from core.knowledge import load_knowledge
from core.knowledge.reference import reference_page
from core.words import load_words

guide = Path("DEVELOPERS.md")
text = guide.read_text(encoding="utf-8")
before, start, rest = text.partition("<!-- reference -->\n")
_, end, after = rest.partition("<!-- /reference -->")
page = reference_page(load_knowledge(), load_words("en"))
guide.write_text(f"{before}{start}{page.rstrip()}\n{end}{after}", encoding="utf-8")
PYTHON
