"""Every word a person reads, as data: one folder of TOML per language, loaded once and passed around."""

from core.words.catalogue import Words, capital, languages, load_words

__all__ = ["Words", "capital", "languages", "load_words"]
