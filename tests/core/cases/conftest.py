"""A store on a database of its own."""

from functools import partial

import invented_case
import pytest

from core.cases.store import Store


@pytest.fixture
async def store(tmp_path):
    store = await Store.open(tmp_path / "cases.db")
    yield store
    await store.close()


@pytest.fixture
def look(tmp_path):
    """Read the store's file with nothing of ours in between."""
    return partial(invented_case.look, tmp_path / "cases.db")
